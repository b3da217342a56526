#!/bin/sh
# Sets Wheelside up in .venv and runs it:   ./go demo    the main job on the demo household
#                                           ./go test    every gate and every test
# On Debian and Ubuntu, missing system packages are installed where that is allowed; else they are named.
set -eu
cd "$(dirname "$0")"

say() { printf '%s\n' "go: $*" >&2; }

system_packages() {
    if [ "$(id -u)" = 0 ]; then as_root=""; elif sudo -n true 2>/dev/null; then as_root="sudo -n"; else as_root="no"; fi
    if [ "$as_root" = no ] || ! command -v apt-get >/dev/null 2>&1; then
        say "please install these system packages, then run this again: $*"
        exit 1
    fi
    say "installing system packages: $*"
    $as_root apt-get update -qq
    DEBIAN_FRONTEND=noninteractive $as_root apt-get install -y -qq "$@"
}

suits() { "$1" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; }

# What the tests drive besides Python: a browser, a database server, a compiler for the fault library, machines of other days.
test_programs() {
    missing=""
    command -v chromium >/dev/null 2>&1 || missing="$missing chromium"
    command -v certutil >/dev/null 2>&1 || missing="$missing libnss3-tools"
    command -v faketime >/dev/null 2>&1 || missing="$missing faketime"
    command -v gcc >/dev/null 2>&1 || missing="$missing gcc libc6-dev"
    ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null 2>&1 || missing="$missing postgresql"
    # shellcheck disable=SC2086  several names
    [ -z "$missing" ] || system_packages $missing
}

find_python() {
    for name in python3 python3.13 python3.12 python3.11; do
        if command -v "$name" >/dev/null 2>&1 && suits "$name"; then
            command -v "$name"
            return 0
        fi
    done
    return 1
}

set_up() {
    lock=$1
    if [ ! -x .venv/bin/python ]; then
        python=$(find_python) || { system_packages python3 python3-venv; python=$(find_python); } || {
            say "Python 3.11 or newer with its venv module is needed, and was not found"
            exit 1
        }
        "$python" -m venv .venv
    fi
    stamp=.venv/$(basename "$lock").installed
    if ! cmp -s "$lock" "$stamp" || ! .venv/bin/python -c 'import wheelside' 2>/dev/null; then
        say "installing what $lock names into .venv"
        .venv/bin/python -m pip install --quiet --disable-pip-version-check --no-deps --require-hashes -r "$lock"
        .venv/bin/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
        cp "$lock" "$stamp"
    fi
}

gate() {
    say "gate: $*"
    "$@"
}

# What packaging can break: a file left out of the wheel, the entry point, data found beside the code (templates, scripts, layouts of
# a book, the proof's page and PDF, the demo's files), the version, processes that run the installed program. The wheel's files are
# those of the sources to the byte, so what only computes is the same there, and its tests run once: air, car, declared, earshot, fill, fit, garage,
# identity, jobs, rim, sensor, sheet, tyre, units, the kills and failing disks of a book, the tests in browsers but two, and what waits for long.
of_the_wheel="tests/cli/test_commands.py tests/cli/test_planning.py tests/cli/test_car_command.py tests/cli/test_port_command.py
    tests/cli/test_fit_command.py tests/demo tests/docs tests/proof tests/book/test_book.py
    tests/web/test_web_pages.py tests/web/test_fit_pages.py tests/web/test_port_pages.py tests/web/test_guard.py
    tests/web/test_browser.py::test_the_demo_job_from_plan_to_proof
    tests/web/test_browser_away.py::test_over_tls_the_sheet_is_loaded_again_while_the_network_is_away
    tests/gates/test_gates.py::test_the_tests_run_on_what_they_are_meant_to
    tests/gates/test_gates.py::test_help_is_listed_as_the_commands_have_it
    --deselect tests/web/test_port_pages.py::test_a_car_that_does_not_answer_is_told_as_such
    --deselect tests/proof/test_proof_check.py::test_every_single_value_that_is_altered_shows"

on_the_wheel() {
    bin=.venv/bin site=$PWD/build/wheel/site
    say "the built wheel"
    rm -rf build/wheel
    $bin/python -m build --quiet --wheel --no-isolation --outdir build/wheel .
    $bin/python -m pip install --quiet --disable-pip-version-check --no-deps --target "$site" build/wheel/*.whl
    gate diff -r -x __pycache__ src/wheelside "$site/wheelside"
    gate env PYTHONPATH="$site" "$site/bin/wheelside" --version
    say "tests, on the built wheel"
    # shellcheck disable=SC2086  several names
    WHEELSIDE_EXPECTED_IN=$site PYTHONPATH=$site $bin/python -m pytest -q -n 2 $of_the_wheel
}

run_tests() {
    bin=.venv/bin
    gate $bin/ruff format --check --quiet .
    gate $bin/ruff check --quiet .
    gate $bin/mypy
    gate $bin/lint-imports --no-logo
    gate $bin/deptry src
    gate $bin/python tests/gates/clockreads.py
    gate $bin/python tests/gates/sizes.py
    say "tests, on the sources"
    $bin/python -m pytest -q -n 2
    on_the_wheel
}

case "${1:-}" in
    demo)
        set_up requirements/run.lock
        exec .venv/bin/wheelside demo
        ;;
    test)
        test_programs
        set_up requirements/test.lock
        run_tests
        ;;
    *)
        sed -n '2,4p' "$0" | cut -c3-
        exit 2
        ;;
esac

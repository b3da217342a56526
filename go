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

run_tests() {
    bin=.venv/bin
    gate $bin/ruff format --check --quiet .
    gate $bin/ruff check --quiet .
    gate $bin/mypy
    gate $bin/lint-imports --no-logo
    gate $bin/deptry src
    gate $bin/python tests/gates/clockreads.py
    say "tests, on the sources"
    $bin/python -m pytest -q -n 2
    say "tests, on the built wheel"
    rm -rf build/wheel
    $bin/python -m build --quiet --wheel --no-isolation --outdir build/wheel .
    $bin/python -m pip install --quiet --disable-pip-version-check --no-deps --target build/wheel/site build/wheel/*.whl
    WHEELSIDE_EXPECTED_IN="$PWD/build/wheel/site" PYTHONPATH="$PWD/build/wheel/site" $bin/python -m pytest -q -n 2
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

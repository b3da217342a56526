"""The API follows the pages' rules, its description is true, and no request makes it fail."""

from __future__ import annotations

import hashlib
import io
import json
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings, strategies
from PIL import Image
from starlette.testclient import TestClient

from claiming import claim, same_again
from visits import Site, let_in
from wheelside.demo import household
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.doors import come_in, new_key
from wheelside.jobs.book.files import take_in, wrong
from wheelside.jobs.work.doing import begin, doing
from wheelside.proof.check import check_proof
from wheelside.web.app import make_app
from wheelside.web.guard import Manners, names_with


@pytest.fixture
def site(home: Desk) -> Site:
    made = let_in(home)
    made.client.headers["x-wheelside-ticket"] = made.ticket
    return made


def ask(site: Site, method: str, path: str, status: int = 200, **more: Any) -> Any:
    answer = site.client.request(method, f"/api{path}", **more)
    assert answer.status_code == status, (path, answer.status_code, answer.text[:500])
    return answer.json() if answer.content else None


def as_planned(site: Site, job: str) -> list[dict[str, Any]]:
    """A claim for each step of a job, answered as planned, as the API takes them."""
    claims = [claim(job, step) for step in doing(site.desk, job).start.sheet.steps]
    return [
        {
            "client": f"{job}-{n:04}", "step": c.step, "kind": "done", "at_us": c.at.us + n,
            "answers": [{"ask": a.ask, "said": a.said} for a in c.answers],
        }
        for n, c in enumerate(claims)
    ]  # fmt: skip


def test_a_job_is_done_through_the_api_alone(site: Site) -> None:
    job = ask(site, "POST", "/jobs", 201, json={})["id"]
    body = as_planned(site, job)
    got = ask(site, "POST", f"/jobs/{job}/evidence", json={"claims": body})
    steps = doing(site.desk, job).start.sheet.steps
    assert (got["new"], len(got["kept"])) == (len(steps), len(steps))
    again = ask(site, "POST", f"/jobs/{job}/evidence", json={"claims": body[:5]})
    assert (again["new"], len(again["kept"])) == (0, 5)
    state = ask(site, "GET", f"/jobs/{job}/evidence?after=0")
    assert state["finished"] == len(steps)
    assert ask(site, "GET", f"/jobs/{job}/evidence?after={state['last']}")["steps"] is None
    proof = ask(site, "POST", f"/jobs/{job}/finish", json={"put_right": True, "leave_open": True})
    assert check_proof(json.dumps(proof).encode(), "x").altered == ()
    assert ask(site, "POST", f"/jobs/{job}/finish", 400, json={})["error"].startswith("this job has ended")
    assert any(line["kind"] == "fitted" for line in ask(site, "GET", "/wheels/W1/history"))


def done_as_planned(site: Site, **asked: str) -> Any:
    """Begins a job, answers all of its steps as planned, and finishes it: its proof."""
    job = ask(site, "POST", "/jobs", 201, json=asked)["id"]
    ask(site, "POST", f"/jobs/{job}/evidence", json={"claims": as_planned(site, job)})
    return ask(site, "POST", f"/jobs/{job}/finish", json={"put_right": True, "leave_open": False})


def test_teaching_alone_puts_the_set_into_the_cars_list_and_a_proof_may_follow(site: Site) -> None:
    row = ask(site, "GET", "/facts/car/estate")
    ask(site, "PUT", "/facts/car/estate", json={"since": row["since"], "body": {**row["body"], "holds": []}})
    refused = ask(site, "POST", "/jobs", 400, json={"extent": "prove", "car": "estate"})["error"]
    assert refused == "Estate has to be taught Summer set first. Teach it, then prove it."
    done_as_planned(site, extent="teach", car="estate")
    assert [h["set"] for h in ask(site, "GET", "/facts/car/estate")["body"]["holds"]] == ["summer"]
    assert done_as_planned(site, extent="prove", car="estate")["record"]["level"]["reached"] == "E3"


@pytest.mark.parametrize("extent", ["pressures", "prove"])
def test_one_part_of_the_work_is_a_job_of_its_own_and_leaves_all_else_as_it_was(site: Site, extent: str) -> None:
    before = [ask(site, "GET", f"/facts/{kind}") for kind in ("car", "sensor", "wheel", "seen")]
    proof = done_as_planned(site, extent=extent, car="estate")
    assert check_proof(json.dumps(proof).encode(), "x").altered == ()
    assert [ask(site, "GET", f"/facts/{kind}") for kind in ("car", "sensor", "wheel", "seen")] == before
    assert ask(site, "GET", "/readings/wheel/S1?most=20")


def test_a_part_that_there_is_not_and_one_with_nothing_to_do_are_refused(site: Site) -> None:
    ask(site, "POST", "/jobs", 422, json={"extent": "wash"})
    said = ask(site, "POST", "/jobs", 400, json={"extent": "pressures"})["error"]
    assert said == "Which car: Estate or Runabout?"


def test_facts_are_changed_with_the_version_that_they_replace(site: Site) -> None:
    row = ask(site, "GET", "/facts/tyre/tyre W1")
    changed = ask(
        site, "PUT", "/facts/tyre/tyre W1", json={"since": row["since"], "body": {**row["body"], "tread": "5 mm"}}
    )
    assert changed["since"] > row["since"]
    stale = ask(site, "PUT", "/facts/tyre/tyre W1", 409, json={"since": row["since"], "body": row["body"]})
    assert "meanwhile" in stale["error"]
    bad = ask(
        site, "PUT", "/facts/tyre/tyre W1", 400, json={"since": changed["since"], "body": {"id": "tyre W1", "tread": 5}}
    )
    assert "tread" in bad["error"]
    new = ask(
        site,
        "POST",
        "/facts/stay",
        201,
        json={"body": {"set": "all-year", "at": "shed", "since": "2019-01-01", "until": "2019-02-01"}},
    )
    ask(site, "DELETE", f"/facts/stay/{new['key']}?since={new['since']}", 204)
    ask(site, "GET", f"/facts/stay/{new['key']}", 404)


def test_readings_are_taken_in_once(site: Site) -> None:
    rows = [
        {"wheel": "W1", "at_us": 1_795_000_000_000_000 + i, "channel": "gauge", "pressure_kpa": 240 + i}
        for i in range(50)
    ]
    none = {"new": 0, "known": 0, "differing": 0, "mistaken": 0}
    assert ask(site, "POST", "/readings", json={"readings": rows}) == {**none, "new": 50}
    assert ask(site, "POST", "/readings", json={"readings": rows}) == {**none, "known": 50}
    other = [{**rows[0], "pressure_kpa": 100}]
    assert ask(site, "POST", "/readings", json={"readings": other}) == {**none, "differing": 1}
    assert len(ask(site, "GET", "/readings/wheel/W1?most=20")) == 20
    ask(site, "POST", "/readings", 400, json={"readings": [{"wheel": "W99", "at_us": 1_795_000_000_000_000}]})


def test_a_reading_that_no_wheel_has_is_asked_about_and_a_mistaken_one_marked(site: Site) -> None:
    row = {"wheel": "S1", "at_us": 1_795_000_000_000_000, "channel": "gauge", "pressure_kpa": 2.4}
    error = ask(site, "POST", "/readings", 400, json={"readings": [row]})["error"]
    assert "reading 1: 2.4 kPa is not a pressure of a wheel in use; 2.4 bar?" in error
    for odd in ({"temperature_k": 200}, {"at_us": 1_895_000_000_000_000}):
        ask(site, "POST", "/readings", 400, json={"readings": [{**row, "pressure_kpa": 240, **odd}]})
    assert ask(site, "GET", "/readings/wheel/S1") == []
    assert ask(site, "POST", "/readings", json={"readings": [row], "as_it_is": True})["new"] == 1
    mark = {"at_us": row["at_us"], "channel": "gauge", "why": "unit"}
    ask(site, "POST", "/readings/wheel/S1/mistaken", 204, json=mark)
    ask(site, "POST", "/readings/wheel/S1/mistaken", 404, json=mark)
    ask(site, "POST", "/readings/wheel/S1/mistaken", 422, json={**mark, "why": "because"})
    assert ask(site, "POST", "/readings", json={"readings": [{**row, "pressure_kpa": 240}]})["new"] == 1
    assert [(r["pressure_kpa"], r["mistaken"]) for r in ask(site, "GET", "/readings/wheel/S1")] == [
        (240, ""),
        (2.4, "unit"),
    ]
    assert [line["mistaken"] for line in ask(site, "GET", "/wheels/S1/history") if line["kind"] == "reading"] == [
        "",
        "unit",
    ]


def test_a_reading_goes_in_and_out_with_all_that_it_says(site: Site) -> None:
    row = {
        "wheel": "S1", "at_us": 1_795_000_000_000_000, "offset_min": 60, "channel": "gauge", "pressure_kpa": 340.5, "absolute": True,
        "temperature_k": 281.0, "battery_low": False, "instrument": "Red gauge", "instrument_id": "gauge", "purpose": "corner-test",
        "warmth": "warm", "tyre_k": 300.25, "outside_k": 277.5, "place": "carport", "air_kpa": 99.9,
    }  # fmt: skip
    assert ask(site, "POST", "/readings", json={"readings": [row]})["new"] == 1
    (out,) = ask(site, "GET", "/readings/wheel/S1")
    assert out == {**{k: v for k, v in row.items() if k != "wheel"}, "subject": ["wheel", "S1"], "mistaken": ""}
    bare = {"wheel": "S2", "at_us": row["at_us"], "pressure_kpa": 240}
    assert ask(site, "POST", "/readings", json={"readings": [bare]})["new"] == 1
    (out,) = ask(site, "GET", "/readings/wheel/S2")
    assert (out["purpose"], out["warmth"], out["tyre_k"], out["place"]) == ("not-known", "not-known", None, None)
    for unfit in ({"purpose": "parking"}, {"warmth": "hot"}, {"tyre_k": 17}, {"air_kpa": 999}, {"outside_k": "cold"}):
        ask(site, "POST", "/readings", 422, json={"readings": [{**bare, **unfit}]})
    for unfit, told in (({"place": "moon"}, "names no place"), ({"instrument_id": "blue"}, "names no instrument")):
        assert told in ask(site, "POST", "/readings", 400, json={"readings": [{**bare, **unfit}]})["error"]
    for odd, told in (
        ({"outside_k": 341.15}, "68 °C is not a temperature of the air outside"),
        ({"air_kpa": 45}, "the air around"),
    ):
        assert (
            told
            in ask(
                site, "POST", "/readings", 400, json={"readings": [{**bare, "at_us": 1_795_000_000_000_001, **odd}]}
            )["error"]
        )


def test_pressures_come_as_columns_absolute_where_that_is_known(site: Site) -> None:
    """At sea level the standard atmosphere has 101.325 kPa; the demo's carport lies at 120 m, its shed nobody knows how high."""
    at = 1_795_000_000_000_000
    row = {"wheel": "S1", "at_us": at, "channel": "gauge", "pressure_kpa": 240, "purpose": "gauging"}
    rows = [
        {**row, "air_kpa": 101.325},
        {**row, "at_us": at + 1, "place": "carport"},
        {**row, "at_us": at + 2, "place": "shed"},
    ]
    assert ask(site, "POST", "/readings", json={"readings": rows})["new"] == 3
    found = ask(site, "GET", "/readings?wheel=S1&wheel=S2")
    assert (found["wheel"], found["rests_on"]) == (["S1"] * 3, ["air", "height", "not-known"])
    assert found["absolute_kpa"] == [pytest.approx(341.325), pytest.approx(240 + 101.325 - 120 * 0.012, abs=0.02), None]
    assert (found["tyre_k"], found["purpose"]) == ([None] * 3, ["gauging"] * 3)
    assert ask(site, "GET", f"/readings?wheel=S1&until_us={at + 1}")["at_us"] == [at]
    ask(site, "GET", "/readings?wheel=S99", 404)
    ask(site, "GET", "/readings", 422)


def picture(form: str = "JPEG", size: tuple[int, int] = (300, 200)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "#345678").save(out, form)
    return out.getvalue()


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_once_under_the_name_of_what_is_in_it(site: Site, form: str) -> None:
    job = ask(site, "POST", "/jobs", 201, json={})["id"]
    names = {ask(site, "POST", f"/jobs/{job}/photos", content=picture(form))["photo"] for _ in range(2)}
    (name,) = names
    data = site.client.get(f"/photos/{name}").content
    assert hashlib.sha256(data).hexdigest() + ".jpg" == name
    assert data[:2] == b"\xff\xd8"


WRONG = {
    "words": b"hello",
    "nothing": b"",
    "half a photo": picture()[: len(picture()) // 3],
    "markup": b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
    "a bomb": b"",
}


@pytest.mark.parametrize("what", WRONG)
def test_what_is_no_photo_is_refused(site: Site, what: str) -> None:
    job = ask(site, "POST", "/jobs", 201, json={})["id"]
    data = picture("PNG", (12_000, 9_000)) if what == "a bomb" else WRONG[what]
    error = ask(site, "POST", f"/jobs/{job}/photos", 400, content=data)["error"]
    assert "JPEG, PNG or WebP" in error
    assert not site.desk.photos.exists() or not list(site.desk.photos.iterdir())


def test_the_description_names_every_address_and_its_errors(site: Site) -> None:
    described = ask(site, "GET", "/openapi.json")
    assert described["openapi"].startswith("3.")
    assert len(described["paths"]) >= 14
    for path, methods in described["paths"].items():
        assert path.startswith("/api/"), path
        for method, one in methods.items():
            assert one["summary"], (path, method)
            assert {"400", "401", "404", "422"} <= set(one["responses"]), (path, method)


def test_an_identifier_that_stands_for_another_claim_is_refused_and_nothing_is_lost(site: Site) -> None:
    job = ask(site, "POST", "/jobs", 201, json={})["id"]
    other = same_again(site.desk, job, "0123456789abcdef")
    body = {
        "client": "client-0001",
        "step": "parts",
        "kind": "done",
        "at_us": 1_795_000_000_000_000,
        "answers": [{"ask": "done", "said": "yes"}],
    }
    ask(site, "POST", f"/jobs/{job}/evidence", json={"claims": [body]})
    for path, changed in ((other, body), (job, {**body, "step": "snapshot"}), (job, {**body, "answers": []})):
        assert (
            "under one of its own"
            in ask(site, "POST", f"/jobs/{path}/evidence", 409, json={"claims": [changed]})["error"]
        )
    twice = [{**body, "client": "client-0002"}, {**body, "client": "client-0002", "kind": "skipped", "reason": "no"}]
    ask(site, "POST", f"/jobs/{job}/evidence", 409, json={"claims": twice})
    assert ask(site, "GET", f"/jobs/{other}")["last"] == 0


def test_a_photo_that_was_not_sent_is_not_named(site: Site) -> None:
    job = ask(site, "POST", "/jobs", 201, json={})["id"]
    body = {"client": "client-0001", "step": "fetch-w1", "kind": "done", "at_us": 1_795_000_000_000_000}
    answers = [{"ask": "photo", "photo": "0" * 64 + ".jpg"}]
    assert (
        "send the photo first"
        in ask(site, "POST", f"/jobs/{job}/evidence", 400, json={"claims": [{**body, "answers": answers}]})["error"]
    )
    assert wrong(site.desk) == ()


def test_photos_are_turned_upright_and_kept_small(site: Site) -> None:
    job = ask(site, "POST", "/jobs", 201, json={})["id"]
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.new("RGB", (3200, 2000), "#345678").save(out, "JPEG", exif=exif)
    name = ask(site, "POST", f"/jobs/{job}/photos", content=out.getvalue())["photo"]
    with Image.open(site.desk.photos / name) as kept:
        assert kept.size == (1000, 1600)


ODD = ["\x00", "\ud800", "a\x00b", "\u202e", "x" * 5000, "'; DROP TABLE fact; --", "😀", "\\", "%00", "\n\r\t"]


@pytest.mark.parametrize("odd", ODD, ids=ascii)
def test_odd_text_is_kept_or_refused_and_breaks_nothing(site: Site, odd: str) -> None:
    job = ask(site, "POST", "/jobs", 201, json={})["id"]
    body = {
        "client": "client-odd-1",
        "step": "snapshot",
        "kind": "done",
        "at_us": 1_795_000_000_000_000,
        "answers": [{"ask": "odometer", "said": odd}],
    }
    for send in (
        lambda: site.client.post(
            f"/api/jobs/{job}/evidence",
            content=json.dumps({"claims": [body]}),
            headers={"content-type": "application/json"},
        ),
        lambda: site.client.post(
            "/api/facts/place",
            content=json.dumps({"body": {"id": "p", "note": odd}}),
            headers={"content-type": "application/json"},
        ),
        lambda: site.client.post(
            "/facts/place/-new",
            data={"ticket": site.ticket, "f.id": "q", "f.note": odd.encode("utf-8", "replace").decode(), "since": "0"},
        ),
        lambda: site.client.post(
            "/settings/me",
            data={"ticket": site.ticket, "label": odd.encode("utf-8", "replace").decode(), "person": "x"},
        ),
    ):
        answer: Any = send()  # type: ignore[no-untyped-call]
        assert answer.status_code < 500
    assert wrong(site.desk) == ()
    for path in ("/", "/settings", "/facts/place", f"/jobs/{job}", "/settings/garage.toml"):
        assert site.client.get(path).status_code == 200


# --- schema-driven fuzzing ---------------------------------------------------------------------------

_FOLDER = Path(__file__).parent


def _fuzzed(folder: Path) -> tuple[Any, str]:
    """An application on a book of its own, and a token that lets a program in."""
    (folder / "h.toml").write_bytes(household())
    desk = new_desk(str(folder / "h.book"))
    take_in(desk, folder / "h.toml")
    job = begin(desk).job
    assert job is not None
    token = come_in(desk, new_key(desk), "fuzzer", "").token
    app = make_app(desk, Manners(names_with(("testserver",))))
    app.state.job = job
    return app, token


@pytest.fixture(scope="module")
def fuzzing(tmp_path_factory: pytest.TempPathFactory) -> tuple[Any, str]:
    return _fuzzed(tmp_path_factory.mktemp("fuzz"))


def operations() -> list[Any]:
    """Every operation that the description names."""
    described = schemathesis.openapi.from_dict(make_app(None, Manners(names_with(()))).openapi())  # type: ignore[arg-type]
    return [found.ok() for found in described.get_all_operations()]  # type: ignore[union-attr]


@pytest.mark.parametrize("operation", operations(), ids=lambda o: o.label)
def test_no_request_of_the_described_shape_or_another_makes_the_server_fail(
    operation: Any, fuzzing: tuple[Any, str]
) -> None:
    app, token = fuzzing
    client = TestClient(app, raise_server_exceptions=False, headers={"authorization": f"Bearer {token}"})
    seen: list[int] = []

    @settings(
        max_examples=80, deadline=None, suppress_health_check=list(HealthCheck), phases=(Phase.explicit, Phase.generate)
    )
    @given(case=operation.as_strategy(), real=strategies.booleans())
    def fuzzed(case: Any, real: bool) -> None:
        if real and "job" in (case.path_parameters or {}):
            case.path_parameters["job"] = app.state.job
        sent: dict[bytes, bytes] = {
            k.encode(): str(v).encode("utf-8", "replace") for k, v in (case.headers or {}).items() if _header(str(v))
        }
        body = (
            case.body if isinstance(case.body, bytes) else json.dumps(case.body).encode() if _given(case.body) else b""
        )
        kind = case.media_type or "application/json"
        query = {k: str(v).encode("utf-8", "replace").decode() for k, v in (case.query or {}).items()}
        answer = client.request(
            case.method,
            case.formatted_path,
            params=query,
            content=body,
            headers={**sent, b"content-type": kind.encode()},
        )
        seen.append(answer.status_code)
        assert answer.status_code < 500, (answer.status_code, answer.text[:500])

    fuzzed()
    assert len(seen) >= (20 if operation.body or len(list(operation.iter_parameters())) > 1 else 1)
    assert 401 not in seen


def _given(body: Any) -> bool:
    return type(body).__name__ != "NotSet"


def _header(value: str) -> bool:
    """Whether a client can send such a header at all."""
    return value.isprintable() and value.isascii()


def test_the_fuzzed_book_is_sound(fuzzing: tuple[Any, str]) -> None:
    app, _ = fuzzing
    assert wrong(app.state.desk) == ()

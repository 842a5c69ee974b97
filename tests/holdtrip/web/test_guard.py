"""Who may ask for what. The attacks are those of the OWASP cheat sheets on cross-site request forgery, on
host header checks against DNS rebinding, and on Content Security Policy."""

import re
from pathlib import Path

import pytest

from holdtrip.library.records import Signature
from holdtrip.library.store import open_library
from holdtrip.web.tokens import Token

PAGES = ("/sheets", "/review", "/parts", "/part", "/compare", "/check")
TEMPLATES = sorted((Path(__file__).parents[3] / "holdtrip" / "web" / "templates").glob("*.html"))


@pytest.mark.parametrize(
    "host", ["attacker.example", "127.0.0.1.attacker.example", "", "[::1", "a@b.example"])
def test_an_unknown_host_name_is_refused(site, host: str) -> None:
    """A name that leads to this machine by DNS rebinding is not ours."""
    assert site.client.get("/api/parts", headers={"Host": host}).status_code in (400, 421)


@pytest.mark.parametrize("host", ["localhost", "localhost:1234", "127.0.0.1", "[::1]:80"])
def test_this_machine_may_be_called_by_its_names(site, host: str) -> None:
    """Loopback by any of its names, whatever the port a tunnel shows."""
    assert site.client.get("/api/parts", headers={"Host": host}).status_code == 200


def decision(site) -> dict:
    """Accepting a part: a request that changes something."""
    row = site.review("quarrowick_qk.pdf")["parts"][0]
    return {"action": "accept", "part_number": row["part_number"]}


@pytest.mark.parametrize(
    "headers",
    [{"X-Form-Token": ""}, {"X-Form-Token": "guessed"}, {"Origin": "https://attacker.example"},
     {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}])
def test_another_site_changes_nothing(site, headers: dict[str, str]) -> None:
    """Without the form token, or from another origin, a changing request is refused before it is read."""
    address, sent = f"/api/sheets/{site.sheet('quarrowick_qk.pdf')}/decisions", decision(site)
    assert site.client.post(address, json=sent, headers=headers).status_code == 403
    assert all(row["accepted"] == 0 for row in site.review("quarrowick_qk.pdf")["parts"])
    own = {"Origin": site.address, "Sec-Fetch-Site": "same-origin"}
    assert site.client.post(address, json=sent, headers=own).status_code == 200


def test_beyond_this_machine_a_token_is_needed(serve) -> None:
    """With a token nothing is told without it; it comes as a bearer or once in the address, then a cookie."""
    site = serve(tokens=(Token("Ann", "secret-of-the-day"),), host="0.0.0.0", names=("bench.example",))
    for path in ("/sheets", "/api/parts", "/static/look.css", "/api/openapi.json", "/?token=wrong"):
        assert site.client.get(path).status_code == 401, path
    bearer = {"Authorization": "Bearer secret-of-the-day", "Host": "bench.example"}
    assert site.client.get("/api/parts", headers=bearer).status_code == 200
    entrance = site.client.get("/parts?like=QK&token=secret-of-the-day")
    assert entrance.status_code == 303
    assert entrance.headers["location"] == "/parts?like=QK"
    cookie = entrance.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert site.client.get("/sheets").status_code == 200


def test_whoever_shows_a_token_signs_with_its_name(serve) -> None:
    """Ann's token signs as Ann, on the page and by script; another name under it is refused."""
    site = serve(tokens=(Token("Ann", "secret-of-the-day"), Token("Ben", "another-secret-yet")))
    site.client.headers["Authorization"] = "Bearer secret-of-the-day"
    address = f"/api/sheets/{site.sheet('quarrowick_qk.pdf')}/decisions"
    sent = decision(site)
    for name, text in (("Ben", "another-secret-yet"), ("Ann", "secret-of-the-day")):
        bearer = {"Authorization": f"Bearer {text}"}
        assert site.client.get("/api/session", headers=bearer).json()["who"] == name
        page = site.client.get("/sheets", headers=bearer).text
        assert f'value="{name}"' in page
        assert "readonly" in page
    refused = site.client.post(address, json={**sent, "who": "Ben"})
    assert (refused.status_code, "opened with the token of Ann" in refused.json()["detail"]) == (400, True)
    assert site.client.post(address, json=sent).status_code == 200
    with open_library(site.library) as library:
        assert library.history()[-1].who == "Ann"


def test_a_token_does_not_lead_elsewhere(serve) -> None:
    """The redirect that hides the token stays on this site."""
    site = serve(tokens=(Token("Ann", "secret-of-the-day"),))
    entrance = site.client.get(f"{site.address}//attacker.example/?token=secret-of-the-day")
    assert entrance.headers["location"] == "/attacker.example/"


@pytest.mark.parametrize("path", [*PAGES, "/api/parts", "/static/review.js", "/nowhere", "/api/sheets/x"])
def test_every_answer_ties_the_browser_down(site, path: str) -> None:
    """No script or style but our files, no frame, no guessing of types; also on refusals."""
    headers = site.client.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_templates_need_no_exception_from_the_policy(path: Path) -> None:
    """No inline script, style or handler, and nothing from outside."""
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:|\|\s*safe", text)
    assert "//" not in re.sub(r"<!doctype.*?>", "", text)


@pytest.mark.parametrize("path", PAGES)
def test_pages_are_served(site, path: str) -> None:
    """Every page answers, and names itself in its title."""
    page = site.client.get(path)
    assert page.status_code == 200
    assert "<title>" in page.text


def test_too_much_is_refused(serve) -> None:
    """A body longer than allowed is refused by its announced length, and by its true one."""
    site = serve(max_upload_bytes=1000)
    announced = site.client.post("/api/sheets?name=a.pdf", content=b"%PDF-" + b"x" * 2000)
    assert announced.status_code == 413
    streamed = site.client.post("/api/sheets?name=a.pdf", content=iter([b"%PDF-" + b"x" * 600] * 3))
    assert streamed.status_code == 413
    assert site.client.get("/api/imports").json() == []


@pytest.mark.parametrize(
    "path", ["/static/../site.py", "/static/%2e%2e/site.py", "/static/..%2fsite.py", "/static//etc/passwd",
             "/api/sheets/..%2f..%2fetc%2fpasswd/pages/1.png", f"/api/sheets/{'0' * 63}g/pages/1.png"])
def test_no_path_leads_out(site, path: str) -> None:
    """Neither static files nor page pictures are reached by a path of the visitor's."""
    answer = site.client.get(path)
    assert answer.status_code in (404, 422)
    assert "def " not in answer.text


def test_a_second_person_is_asked_for_on_the_page(serve) -> None:
    """Where the library demands two, a number that one person accepted is open still, and says why."""
    site = serve()
    with open_library(site.library) as library:
        library.settle(Signature("Ann"), signatures=2)
    sheet = site.sheet("quarrowick_qk.pdf")
    sent = {"action": "accept", "part_number": site.review("quarrowick_qk.pdf")["parts"][0]["part_number"]}
    for who, waits in (("Ann", True), ("Ben", False)):
        answer = site.client.post(f"/api/sheets/{sheet}/decisions", json={**sent, "who": who}).json()
        own = [one for one in answer["numbers"] if one["part_number"] == sent["part_number"] and one["said"]]
        assert own
        assert all(one["said"].endswith("waits for a second person") is waits for one in own)
        assert all((one["state"] == one["status"]) is waits for one in own)

"""The desk in a real browser: the whole way on a screen and on a phone, without script, with the keyboard
alone, and by the rules of axe-core (WCAG 2.2 A and AA). What it needs: tests/browser.py.
"""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from desk.desk_client import Client, demo_folder
from desk.test_long_work import Held

from partsolver.desk import serve
from partsolver.desk.tasks import Answered
from tests.browser import WIDTHS, axe, broken_words, browser, fits, violations

__all__ = ["axe", "browser"]

PHONE = {"width": 390, "height": 844}
SCREENS = (
    "/",
    "/pc/choir",
    "/pc/choir/ask?at=psu.cpu_plugs&warned=1",
    "/pc/choir/ask?at=case.max_board_depth_mm&warned=1",
    "/pc/choir/ask?at=board.outputs",
    "/pc/choir/wishes",
    "/pc/choir/answers",
    "/pc/choir/money",
    "/pc/choir/why",
    "/parts",
)
AFTER_CHOICE = ("/pc/choir/owner", "/pc/choir/sold", "/pc/choir/bench", "/pc/choir/dark", "/pc/choir/measure")


@pytest.fixture
def served(tmp_path: Path) -> Iterator[str]:
    """Address with token of a desk of the demo."""
    demo_folder(tmp_path)
    process = subprocess.Popen(
        [sys.executable, "-m", "partsolver", "desk", str(tmp_path), "--no-browser"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    found = re.search(r"http://\S+", process.stdout.readline() + process.stdout.readline())
    assert found is not None
    yield found[0]
    process.kill()
    process.wait()


def _there(page: Any, address: str) -> None:
    """Open a screen and wait for what it computes: meanwhile it says so and looks again by itself."""
    page.goto(address)
    page.wait_for_selector("[data-then=load]", state="detached")


def _page(browser: Any, served: str, **options: Any) -> tuple[Any, str]:
    page = browser.new_context(**options).new_page()
    page.set_default_timeout(60_000)
    page.goto(served)
    return page, served.partition("/?")[0]


@pytest.mark.parametrize(
    "options", [{}, {"viewport": PHONE}, {"viewport": PHONE, "java_script_enabled": False}]
)
def test_from_the_answers_to_a_ticked_step(browser: Any, served: str, tmp_path: Path, options: Any) -> None:
    page, base = _page(browser, served, **options)
    page.goto(f"{base}/pc/choir/ask?at=psu.year&warned=1")
    page.fill("#answer", "2013")
    page.click("text=Keep this answer")
    page.goto(f"{base}/pc/choir/wishes")
    page.fill("#budget", "200.00")
    page.click("text=Look for plans")
    page.wait_for_selector("text=Take this plan")
    page.click("text=Take this plan >> nth=0")
    page.click("text=It is ordered")
    page.click("text=Done, go on")
    assert "1 done" in page.inner_text("main") if options.get("java_script_enabled", True) else True
    assert '"done": [' in (tmp_path / "choir.bench.json").read_text(encoding="utf-8")
    text = (tmp_path / "choir.toml").read_text(encoding="utf-8")
    assert "year = 2013" in text and 'budget = "200.00"' in text
    _there(page, f"{base}/pc/choir/money")
    # While a page without scripts loads again the sign of waiting is gone for a moment.
    page.wait_for_selector("table")
    shown = page.locator(".slider").is_visible()
    assert shown is options.get("java_script_enabled", True)
    if shown:
        page.focus("#sum")
        before = page.inner_text("#sum-said")
        page.keyboard.press("ArrowLeft")
        assert page.inner_text("#sum-said") != before
        assert page.get_attribute("#sum", "aria-valuetext") == page.inner_text("#sum-said")


def test_the_keyboard_alone_takes_a_plan(browser: Any, served: str, tmp_path: Path) -> None:
    page, base = _page(browser, served)
    _there(page, f"{base}/pc/choir/answers")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent").startswith("Take this plan"):
            assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
            page.keyboard.press("Enter")
            break
    page.wait_for_url("**/owner")
    assert (tmp_path / "choir.plan.json").is_file()


@pytest.mark.parametrize("width", WIDTHS)
def test_no_violation_no_overflow_no_broken_word_and_nothing_from_outside(
    browser: Any, axe: str, served: str, width: int
) -> None:
    page, base = _page(browser, served, viewport={"width": width, "height": 844}, bypass_csp=True)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text) if message.type == "error" else None)
    for number, address in enumerate((*SCREENS, *AFTER_CHOICE)):
        if number == len(SCREENS):
            _there(page, f"{base}/pc/choir/answers")
            page.click("text=Take this plan >> nth=0")
        _there(page, base + address)
        assert fits(page), address
        assert broken_words(page) == [], address
        assert violations(page, axe) == [], address
    assert all(url.startswith((base, "data:")) for url in asked)
    assert not told


# -- what takes long ---------------------------------------------------------------------------------------------------


@pytest.fixture
def held(tmp_path: Path) -> Iterator[tuple[Client, Held, str]]:
    """A desk in this process whose work goes on until the test ends it: client, pool, address with token."""
    client, pool = Client(demo_folder(tmp_path)), Held()
    client.desk.warm.pool = pool
    listening = socket.create_server(("127.0.0.1", 0))
    port = client.desk.session.port = listening.getsockname()[1]
    server = uvicorn.Server(serve.server_config(client.desk))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    yield client, pool, f"http://127.0.0.1:{port}/?t={client.desk.session.token}"
    server.should_exit = True
    thread.join(30)


@pytest.mark.parametrize("script", [True, False])
def test_a_page_that_waits_tells_how_far_it_is_stops_and_begins_again(
    browser: Any, axe: str, held: tuple[Client, Held, str], script: bool
) -> None:
    client, pool, link = held
    page, base = _page(browser, link, viewport=PHONE, java_script_enabled=script, bypass_csp=True)
    page.goto(f"{base}/pc/choir/answers")
    assert page.inner_text("h1") == "Plans are looked for"
    (job,) = [job for job in pool._jobs.values() if job.task.kind == "answer"]
    assert page.inner_text(".told") == "1 of 5 plans found."
    assert page.get_attribute("progress", "value") == "1"
    job.done = 3  # the page hears of it, by events or by looking again
    page.wait_for_function(
        "document.querySelector('.told').textContent.startsWith('3 of 5')"
    ) if script else (page.wait_for_selector("text=3 of 5 plans found."))
    if script:
        assert fits(page) and broken_words(page) == [] and violations(page, axe) == []
    page.click("text=Stop")
    page.wait_for_selector("text=Stopped. Nothing was written.")
    assert job.state == "stopped" and not (client.folder / "choir.plan.json").exists()
    if script:
        assert fits(page) and violations(page, axe) == []
    page.click("text=Begin again")
    page.wait_for_selector("text=1 of 5 plans found.")
    job = next(job for job in pool._jobs.values() if job.task.kind == "answer")
    _found(client, job)
    page.wait_for_selector("text=Plans that differ")  # it shows them by itself


def _found(client: Client, job: Any) -> None:
    """End a held job with what the real work gives."""
    from partsolver.desk.tasks import Held as Kept
    from partsolver.desk.tasks import answered

    state, job.value = answered(job.task, Kept(), lambda stage, done, total: None)
    assert isinstance(job.value, Answered)
    job.state = state

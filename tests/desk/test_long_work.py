"""Work in the background tells how far it is, can be stopped, and leaves nothing half-written."""

from __future__ import annotations

import json
import re
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from desk.desk_client import Client, Inline, demo_folder, hidden, words_of

from partsolver.base.errors import InputRefused, InternalFault
from partsolver.catalog.store import holds_store
from partsolver.desk.folder import Folder
from partsolver.desk.tasks import Held as Kept
from partsolver.desk.tasks import Task, answered
from partsolver.desk.workers import Job, Pool, Working


class Held(Pool):
    """A pool whose work goes on until the test lets it end."""

    def _begin(self, job: Job) -> None:
        job.state, job.stage, job.done, job.total = "running", "plans", 1, 5


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setattr(Pool, "wait", lambda self, job, seconds: job.has_ended)
    client = Client(demo_folder(tmp_path))
    client.desk.warm.pool = Held()
    return client


def _job_id(page: str) -> str:
    found = re.search(r"/work/([0-9a-f]+)/(?:stop|again|events)", page)
    assert found is not None
    return found[1]


def test_a_page_that_waits_says_how_far_it_is_and_stops(client: Client) -> None:
    page = client.get("/pc/choir/answers")
    assert "1 of 5 plans found" in words_of(page) and "Stop" in page
    assert '<noscript><meta http-equiv="refresh"' in page  # without a script it looks by itself
    job = client.desk.warm.pool.find(_job_id(page))
    assert job is not None and job.state == "running"
    page = client.post(f"/work/{job.id}/stop", back=hidden(page, "back"))
    assert job.state == "stopped" and "Stopped. Nothing was written." in page
    assert "refresh" not in page
    page = client.post(f"/work/{job.id}/again", back=hidden(page, "back"))
    assert _job_id(page) != job.id and "1 of 5 plans found" in words_of(page)
    away = client.http.post(
        f"/work/{_job_id(page)}/stop",
        data={"token": client.desk.session.form_token, "back": "//evil.example/"},
        headers={"origin": "http://127.0.0.1:4711"},
        follow_redirects=False,
    )
    assert away.headers["location"] == "/evil.example/"
    client.get("/work/nothing/events", 404)


def test_events_tell_each_change_once_and_then_the_end(client: Client) -> None:
    """Fields, blank lines and event names as the HTML Living Standard, 9.2.5 and 9.2.6, reads them."""
    job = client.desk.warm.pool.find(_job_id(client.get("/pc/choir/answers")))
    assert job is not None
    client.desk.warm.pool.stop(job)
    answer = client.http.get(f"/work/{job.id}/events")
    assert answer.headers["content-type"].startswith("text/event-stream")
    first, last, rest = answer.text.split("\n\n")
    assert json.loads(first.removeprefix("data: ")) == {
        "said": "Stopped. Nothing was written.",
        "done": 1,
        "total": 5,
    }
    assert last.split("\n") == ["event: end", "data: stopped"] and not rest


def test_a_question_is_asked_while_the_others_are_weighed(client: Client) -> None:
    page = client.get("/pc/choir/ask?at=psu.cpu_plugs&warned=1")
    assert "still being computed" in page and "data-events" in page
    page = client.post(f"/work/{_job_id(page)}/stop", back=hidden(page, "back"))
    assert "the weighing was stopped" in page and "Begin again" in page


def _chosen(client: Client) -> str:
    """A plan taken (with work done on the spot); the first part that it buys."""
    held, client.desk.warm.pool = client.desk.warm.pool, Inline()
    client.post("/pc/choir/choose", rank="1", digest=hidden(client.get("/pc/choir/answers"), "digest"))
    client.desk.warm.pool = held
    found = re.search(r'name="gone" value="([^"]*)"', client.get("/pc/choir/sold"))
    assert found is not None
    return found[1]


def test_a_plan_solved_again_is_stopped_and_begun_again_with_what_was_ticked(client: Client) -> None:
    part = _chosen(client)
    before = (client.folder / "choir.plan.json").read_bytes()
    plan = hidden(client.get("/pc/choir/sold"), "plan")
    page = client.post("/pc/choir/sold", gone=part, ordered="", plan=plan, **{f"price-{part}": "9,50"})
    assert "A new plan is looked for" in page and "Stop" in page
    first = client.desk.warm.pool.find(_job_id(page))
    assert first is not None and first.task.kind == "replan"
    page = client.post(f"/work/{first.id}/stop", back=hidden(page, "back"))
    assert first.state == "stopped" and "Stopped. Nothing was written." in page
    page = client.post(f"/work/{first.id}/again", back=hidden(page, "back"))
    second = client.desk.warm.pool.find(_job_id(page))
    assert second is not None and second.task == first.task and second is not first
    assert json.loads(second.task.what)["gone"] == [part]
    assert json.loads(second.task.what)["prices"] == {part: "9,50"}
    assert (client.folder / "choir.plan.json").read_bytes() == before


def test_a_new_plan_is_kept_only_where_the_old_one_still_lies(client: Client) -> None:
    """Somebody else was quicker: their plan is not overwritten."""
    part = _chosen(client)
    client.desk.warm.pool = Inline()
    client.post("/pc/choir/sold", gone=part, plan=hidden(client.get("/pc/choir/sold"), "plan"))
    plan = client.folder / "choir.plan.json"
    (job,) = [job for job in client.desk.warm.pool._jobs.values() if job.task.kind == "replan"]
    other = plan.read_text(encoding="utf-8").replace('"chosen": 1', '"chosen": 2')
    plan.write_text(other, encoding="utf-8")
    state, value = answered(job.task, Kept(), lambda stage, done, total: None)
    assert state == "refused" and "meanwhile" in str(value[0])
    assert plan.read_text(encoding="utf-8") == other


def test_dumps_are_read_in_the_background_and_stop_without_a_trace(client: Client) -> None:
    before = client.survey()
    files = [("files", ("lscpu.txt", b"Architecture: x86_64\nCPU(s): 4\n"))]
    page = client.post("/pc/choir/import", files=files)
    assert "What its system tools print is read" in page and "Stop" in page
    job = client.desk.warm.pool.find(_job_id(page))
    assert job is not None and job.task.kind == "dumps" and job.task.files
    page = client.post(f"/work/{job.id}/stop", back=hidden(page, "back"))
    assert "Nothing was written" in page and "Drop the files again" in page and client.survey() == before
    assert "What is known" in client.post(f"/work/{job.id}/again", back=hidden(page, "back"))


# -- real processes ----------------------------------------------------------------------------------------------------


@pytest.fixture
def pool() -> Iterator[Pool]:
    pool = Pool()
    yield pool
    pool.close()


def _task(folder: Path, kind: str = "answer", key: str = "1") -> Task:
    text = (folder / "choir.toml").read_text(encoding="utf-8")
    return Task(kind, "choir", key, folder / "parts", text)  # type: ignore[arg-type]


def test_a_stopped_process_is_gone_and_the_next_work_is_done(tmp_path: Path, pool: Pool) -> None:
    demo_folder(tmp_path)
    first = pool.job(_task(tmp_path, "weights"))
    assert pool.job(_task(tmp_path, "weights")) is first
    end = time.monotonic() + 120
    while first.state == "running" and not first.total and time.monotonic() < end:
        time.sleep(0.02)
    assert first.state == "running" and first.stage == "weights" and first.total >= 5
    process = pool._workers[0].process
    pool.stop(first)
    process.join(30)
    assert first.has_ended and not process.is_alive()
    with pytest.raises(Working):
        pool.result(first)
    # A changed survey ends what was asked of the old one; a process that was not stopped keeps what it
    # joined.
    old = pool.job(_task(tmp_path))
    new = pool.job(_task(tmp_path, key="2"))
    assert old.state == "stopped"
    found = pool.result(new, 120)
    assert found.outcome.plans and found.choices is not None
    number = pool._workers[0].process.pid
    why = pool.job(_task(tmp_path, "why", key="2"))
    assert pool.result(why, 120)[1].possible
    assert [worker.process.pid for worker in pool._workers] == [number]
    refused = pool.job(Task("why", "x", "1", tmp_path / "no"))
    with pytest.raises((InputRefused, InternalFault)):
        pool.result(refused, 120)
    assert pool.find(refused.id) is None  # it is tried again when it is asked for again


def test_the_process_that_answers_weighs_no_questions(tmp_path: Path, pool: Pool) -> None:
    """What keeps a PC's problem warm answers again: the weighing has a process of its own, and what is
    weighed of an older state ends when the new one is asked about."""
    folder = demo_folder(tmp_path)
    first = pool.job(_task(folder))
    assert pool.wait(first, 120)
    (warm,) = pool._workers
    weighed = pool.job(_task(folder, "weights"))
    assert [worker.job for worker in pool._workers] == [None, weighed]
    again = pool.job(_task(folder, key="2"))
    assert warm.job is again and weighed.state == "stopped"
    other = pool.job(_task(folder, "weights", key="2"))
    assert pool.wait(again, 120) and again.state == "found" and other.state != "stopped"


def test_a_plan_file_stays_joined_and_is_read_again_when_it_is_written(tmp_path: Path) -> None:
    folder = demo_folder(tmp_path)
    client = Client(folder)
    digest = hidden(client.get("/pc/choir/answers"), "digest")
    client.post("/pc/choir/choose", rank="1", digest=digest)
    path, held = folder / "choir.plan.json", Kept()
    said = json.dumps({"gone": [], "prices": {}, "ordered": []})

    def task() -> Task:
        return Task("replan", "choir", "1", folder / "parts", path.read_text(), None, said, path)

    stored = held.plan_file(task())
    assert held.plan_file(task()) is stored
    older = task()
    path.write_text(path.read_text() + "\n")
    assert answered(older, held, lambda *told: None)[0] == "refused"
    assert held.plan_file(task()) is not stored


def test_a_first_import_ended_by_force_leaves_no_store(tmp_path: Path) -> None:
    """What a killed process leaves: SQLite's first page, and no table (its transaction was not committed)."""
    folder = demo_folder(tmp_path)
    parts = folder / "list"
    parts.mkdir()
    with closing(sqlite3.connect(parts / "catalog.sqlite", isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
    assert (parts / "catalog.sqlite").stat().st_size == 4096 and not holds_store(parts)
    (folder / "parts").rename(folder / "old")
    parts.rename(folder / "parts")
    assert not Folder(folder).has_parts
    sheet = b"Article;Socket;Price EUR\nRegnum Q4 3.4 GHz;S1155;41.00\n"
    page = Client(folder).post("/parts", files=[("files", ("list.csv", sheet))])  # and a list is read again
    assert "What was read" in page or "To be asked" in page

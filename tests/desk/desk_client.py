"""A desk of a folder of its own, asked without a network."""

from __future__ import annotations

import html
import re
import shutil
import warnings
from pathlib import Path
from typing import Any

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it asks for a successor of httpx that is not needed here
    from starlette.testclient import TestClient

from partsolver.catalog.dictionary import data_folder
from partsolver.desk.app import application
from partsolver.desk.frame import Desk
from partsolver.desk.serve import make_desk
from partsolver.desk.tasks import Held, answered
from partsolver.desk.workers import Job, Pool

PORT = 4711
HOST = f"127.0.0.1:{PORT}"


def demo_folder(place: Path) -> Path:
    """The demo PC and catalogue as a folder of one's own."""
    shutil.copy(data_folder() / "demo-survey.toml", place / "choir.toml")
    shutil.copytree(data_folder() / "demo", place / "parts")
    return place


def fewer_parts(folder: Path, every: int) -> None:
    """Leave one in ``every`` boards, processors, memory kits and coolers in the folder's catalogue, and what is for sale
    of them: what would take a minute to ask takes a second."""
    parts, gone = folder / "parts", set()
    for table in ("boards", "cpus", "memory", "coolers"):
        lines = (parts / f"{table}.csv").read_text(encoding="utf-8").splitlines(keepends=True)
        gone |= {line.partition(",")[0] for number, line in enumerate(lines[1:]) if number % every}
        (parts / f"{table}.csv").write_text("".join(lines[:1] + lines[1::every]), encoding="utf-8")
    for table in ("offers", "bundles"):
        lines = (parts / f"{table}.csv").read_text(encoding="utf-8").splitlines(keepends=True)
        kept = [line for line in lines if not gone & set(re.split(r"[,;|+ ]", line))]
        (parts / f"{table}.csv").write_text("".join(kept), encoding="utf-8")


class Inline(Pool):
    """Long work done on the spot: processes of its own would stay behind in the tests' process."""

    def __init__(self) -> None:
        super().__init__()
        self.held = Held()

    def _begin(self, job: Job) -> None:
        job.state, job.value = answered(job.task, self.held, lambda stage, done, total: None)


class Client:
    """A browser without script: forms with their token, redirects followed."""

    def __init__(self, folder: Path, **options: Any) -> None:
        self.folder = folder
        self.desk: Desk = make_desk(folder, ["127.0.0.1", "localhost"], PORT, **options)
        self.desk.warm.pool = Inline()
        self.http = TestClient(
            application(self.desk), base_url=f"http://{HOST}", raise_server_exceptions=False
        )
        self.http.get("/", params={"t": self.desk.session.token})

    def get(self, address: str, status: int = 200) -> str:
        answer = self.http.get(address)
        assert answer.status_code == status, (address, answer.status_code, _text(answer.text)[:600])
        assert "Traceback" not in answer.text
        return answer.text

    def post(self, address: str, status: int = 200, files: Any = None, **fields: Any) -> str:
        data = {"token": self.desk.session.form_token, **fields}
        answer = self.http.post(address, data=data, files=files, headers={"origin": f"http://{HOST}"})
        assert answer.status_code == status, (address, answer.status_code, _text(answer.text)[:600])
        assert "Traceback" not in answer.text
        return answer.text

    def survey(self, name: str = "choir") -> str:
        return (self.folder / f"{name}.toml").read_text(encoding="utf-8")


def _text(page: str) -> str:
    return html.unescape(re.sub(r"<[^>]+>", " ", page))


def words_of(page: str) -> str:
    """What a page says, without its marks."""
    return " ".join(_text(page).split())


def hidden(page: str, name: str) -> str:
    """The value of a hidden field."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found is not None, name
    return html.unescape(found[1])

"""From requests to plain functions and back: forms with limits, errors as pages, nothing of the program's
inside."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from partsolver.base.errors import Fault, InputRefused, InternalFault, NotDecided
from partsolver.desk.folder import Folder, PcFiles
from partsolver.desk.guard import Session
from partsolver.desk.warm import Warm
from partsolver.desk.workers import Working
from partsolver.report.desk import page, refusal_page
from partsolver.report.words import desk as words

MOST_FILES, MOST_FIELDS = 60, 400
# One field of a form that is no file: a sentence or a number.
MOST_FIELD_BYTES = 64 * 1024


@dataclass
class Desk:
    """What every screen works with."""

    folder: Folder
    session: Session
    warm: Warm
    allow_this_pc: bool = True


@dataclass
class Asked:
    """One request as a screen sees it: the PC of its address, the query, the form."""

    desk: Desk
    path: Mapping[str, str]
    query: Mapping[str, str]
    form: Mapping[str, str] = field(default_factory=dict)
    several: Mapping[str, list[str]] = field(default_factory=dict)
    files: Sequence[tuple[str, bytes]] = ()
    is_post: bool = False
    # Its address with its query, for a form that comes back to it.
    here: str = "/"

    @property
    def pc(self) -> PcFiles:
        """Raises HTTPException 404 where the folder has no such PC."""
        found = self.desk.folder.pc(self.path["name"])
        if found is None:
            raise HTTPException(404)
        return found

    def address(self, *rest: str) -> str:
        """The address of a screen of this PC."""
        from urllib.parse import quote

        return "/" + "/".join(quote(part, safe="") for part in ("pc", self.path["name"], *rest))

    def show(self, template: str, **values: Any) -> Response:
        """A screen."""
        name = self.path.get("name")
        common = {
            "token": self.desk.session.form_token,
            "base": self.address() if name is not None else "",
            "pc_name": name,
            "back": self.here,
        }
        return Response(page(template, **{**common, **values}), media_type="text/html")


Screen = Callable[[Asked], Response]


def go(address: str) -> Response:
    """On to another screen after something was done (RFC 9110, 15.4.4)."""
    return RedirectResponse(address, 303)


class Stale(InputRefused):
    """What a form was made of is not there any more: somebody else was quicker."""


def stale() -> Stale:
    return Stale(Fault(words.STALE_WHERE, words.STALE, hint=words.STALE_HINT))


def endpoint(desk: Desk, screen: Screen) -> Callable[[Request], Any]:
    """A screen as Starlette calls it."""

    async def called(request: Request) -> Response:
        here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        asked = Asked(desk, request.path_params, dict(request.query_params), here=here)
        if request.method == "POST":
            asked = await _with_form(asked, request)
        return await run_in_threadpool(_answered, screen, asked)

    return called


async def _with_form(asked: Asked, request: Request) -> Asked:
    kind = request.headers.get("content-type", "").partition(";")[0].strip()
    if kind not in ("application/x-www-form-urlencoded", "multipart/form-data"):
        raise HTTPException(415)
    async with request.form(
        max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=MOST_FIELD_BYTES
    ) as form:
        fields = {key: value for key, value in form.items() if isinstance(value, str)}
        if fields.pop("token", "") != asked.desk.session.form_token:
            raise HTTPException(403)
        several = {key: [v for v in form.getlist(key) if isinstance(v, str)] for key in fields}
        uploads = [
            value for _, value in form.multi_items() if isinstance(value, UploadFile) and value.filename
        ]
        files = [(_file_name(upload.filename or ""), await upload.read()) for upload in uploads]
    return Asked(asked.desk, asked.path, asked.query, fields, several, files, True, asked.here)


def _file_name(sent: str) -> str:
    """A name without folders and without what no name has: it is shown, and may become a file's name."""
    last = sent.replace("\\", "/").rpartition("/")[2]
    plain = "".join(ch for ch in last if ch.isprintable() and ch not in '<>:"|?*').strip(". ")
    return plain[-100:] or "file"


def _answered(screen: Screen, asked: Asked) -> Response:
    try:
        return screen(asked)
    except Working as working:
        answer = asked.show("working.html", job=working.job, back="/" if asked.is_post else asked.here)
        answer.status_code = 503 if asked.is_post else 200
        return answer
    except HTTPException as error:
        return Response(refusal_page(str(error.status_code)), error.status_code, media_type="text/html")
    except InputRefused as error:
        status = 409 if isinstance(error, Stale) else 400
        answer = asked.show("refused.html", faults=[_plain(fault, asked.desk) for fault in error.faults])
        answer.status_code = status
        return answer
    except OSError as error:
        if error.filename is None:
            return _bug(error)
        # The folder, or a file of it, is not ours to use, or is gone: on a stick that was pulled out, say.
        fault = Fault(str(error.filename), f"cannot be used: {error.strerror}", hint=words.NOT_OURS)
        answer = asked.show("refused.html", faults=[_plain(fault, asked.desk)])
        answer.status_code = 400
        return answer
    except NotDecided as error:
        answer = asked.show("refused.html", faults=[words.not_decided(str(error))])
        answer.status_code = 503
        return answer
    except (InternalFault, Exception) as error:
        return _bug(error)


def _bug(error: Exception) -> Response:
    _log(error)
    return Response(refusal_page("500"), 500, media_type="text/html")


def _plain(fault: Fault, desk: Desk) -> str:
    """A fault without the way to the folder, which the reader knows."""
    return str(fault).replace(f"{desk.folder.root}/", "")


def _log(error: Exception) -> None:
    """A bug, on the terminal where the desk was started: what and where, in a line."""
    import traceback

    frames = traceback.extract_tb(error.__traceback__)
    place = f"{frames[-1].filename}:{frames[-1].lineno}" if frames else "?"
    print(f"partsolver desk: internal fault: {type(error).__name__}: {error} at {place}", file=sys.stderr)

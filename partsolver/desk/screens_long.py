"""What goes on in the background: told as it goes on, stopped, begun again."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.responses import Response, StreamingResponse

from partsolver.desk.frame import Asked, go
from partsolver.desk.workers import Job
from partsolver.report.words import desk as words

# How often a change is looked for; an answer that says nothing for longer is taken for dead on some networks;
# and a page that nobody looks at any more does not hold its connection for ever.
LOOK_S, QUIET_S, MOST_S = 0.25, 15.0, 600.0


def _job(asked: Asked) -> Job:
    job = asked.desk.warm.pool.find(asked.path["work"])
    if job is None:
        raise HTTPException(404)
    return job


def events(asked: Asked) -> Response:
    """How far a job is, as server-sent events (HTML Living Standard, 9.2): ``message`` with what is said
    and how much is done, ``end`` once there is nothing more to tell."""
    return StreamingResponse(_told(_job(asked)), media_type="text/event-stream")


async def _told(job: Job) -> AsyncIterator[str]:
    before, quiet, whole = "", 0.0, 0.0
    while whole < MOST_S:
        now = json.dumps({"said": words.progress(job), "done": job.done, "total": job.total})
        if now != before:
            yield f"data: {now}\n\n"
            before, quiet = now, 0.0
        elif quiet >= QUIET_S:
            yield ": still at it\n\n"
            quiet = 0.0
        if job.has_ended:
            yield f"event: end\ndata: {job.state}\n\n"
            return
        await asyncio.sleep(LOOK_S)
        quiet, whole = quiet + LOOK_S, whole + LOOK_S


def stop(asked: Asked) -> Response:
    """Stop a job; the page that waits for it says so."""
    asked.desk.warm.pool.stop(_job(asked))
    return go(_back(asked))


def again(asked: Asked) -> Response:
    """Begin a job anew that was stopped."""
    job, pool = _job(asked), asked.desk.warm.pool
    pool.forget(job)
    if job.task.kind == "add":  # its files are not kept: they are dropped again
        return go("/parts")
    if job.task.kind == "replan":
        return go(f"/pc/{quote(job.task.name, safe='')}/sold?work={pool.job(job.task).id}")
    return go(_back(asked))


def _back(asked: Asked) -> str:
    """The page that the form was on; never another site."""
    return "/" + asked.form.get("back", "").lstrip("/\\")

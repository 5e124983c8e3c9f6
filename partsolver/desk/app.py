"""The desk as an application: which address is which screen."""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from partsolver.desk import screens_long as long
from partsolver.desk import screens_parts as parts
from partsolver.desk import screens_pc as pcs
from partsolver.desk import screens_plan as plans
from partsolver.desk import screens_work as work
from partsolver.desk.frame import Desk, Screen, endpoint
from partsolver.desk.guard import Guard, TooMuch
from partsolver.report.desk import refusal_page, static_file

_GET: tuple[tuple[str, Screen], ...] = (
    ("/", pcs.folder_view),
    ("/parts", parts.parts_view),
    ("/work/{work}/events", long.events),
    ("/parts/{part}", parts.part_view),
    ("/pc/{name}", pcs.pc_view),
    ("/pc/{name}/ask", pcs.ask),
    ("/pc/{name}/wishes", pcs.wishes),
    ("/pc/{name}/answers", plans.answers_view),
    ("/pc/{name}/money", plans.money_view),
    ("/pc/{name}/why", plans.why_view),
    ("/pc/{name}/sold", plans.sold_view),
    ("/pc/{name}/owner", work.owner_view),
    ("/pc/{name}/owner.html", work.owner_file),
    ("/pc/{name}/sheet.html", work.sheet_file),
    ("/pc/{name}/bench", work.bench_view),
    ("/pc/{name}/dark", work.dark_view),
    ("/pc/{name}/measure", work.measure_view),
)
_POST: tuple[tuple[str, Screen], ...] = (
    ("/new", pcs.new_pc),
    ("/parts", parts.add_files),
    ("/work/{work}/stop", long.stop),
    ("/work/{work}/again", long.again),
    ("/pc/{name}/import", pcs.read_dumps),
    ("/pc/{name}/fact", pcs.change_fact),
    ("/pc/{name}/ask", pcs.answer_question),
    ("/pc/{name}/wishes", pcs.save_wishes),
    ("/pc/{name}/choose", plans.choose),
    ("/pc/{name}/look", plans.look),
    ("/pc/{name}/money", plans.take_sum),
    ("/pc/{name}/why", plans.take_way),
    ("/pc/{name}/sold", plans.sold_out),
    ("/pc/{name}/ordered", work.ordered),
    ("/pc/{name}/bench", work.tick),
    ("/pc/{name}/measure", work.take_measurement),
)
_STATIC = {"desk.css": "text/css", "desk.js": "text/javascript"}


def application(desk: Desk) -> ASGIApp:
    """The whole desk behind its guard."""
    routes = [Route(path, endpoint(desk, screen), methods=["GET"]) for path, screen in _GET]
    routes += [Route(path, endpoint(desk, screen), methods=["POST"]) for path, screen in _POST]
    routes.append(Route("/static/{file}", _static, methods=["GET"]))
    return Guard(
        Starlette(routes=routes, exception_handlers={HTTPException: _refused, TooMuch: _too_much}),
        desk.session,
    )


async def _static(request: Request) -> Response:
    name = request.path_params["file"]
    if name not in _STATIC:
        raise HTTPException(404)
    return Response(static_file(name), media_type=_STATIC[name], headers={"cache-control": "max-age=600"})


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return Response(refusal_page(str(error.status_code)), error.status_code, media_type="text/html")


async def _too_much(request: Request, error: Exception) -> Response:
    return Response(refusal_page("too-much"), 413, media_type="text/html")

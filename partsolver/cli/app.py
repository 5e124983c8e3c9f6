"""The application and its commands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_command, get_group

import partsolver
from partsolver.cli.general import EVERYWHERE

# Name -> (module in cli/, its function, or "app" where it is a group of commands; what the help says of it).
# A module is loaded, and its options are read, when its command is asked for.
COMMANDS: dict[str, tuple[str, str, str]] = {
    "recommend": ("recommend", "recommend", "Plans for a PC that differ, each proven."),
    "check": ("check", "check", "Every finding for parts that you chose."),
    "catalog": ("catalog", "app", "Make and verify a catalogue."),
    "survey": ("survey", "app", "Make, fill and question a survey."),
    "why": ("why", "why", "Why there is no plan, or no such part in it."),
    "replan": ("replan", "replan", "A new plan after a part sold out or a price moved."),
    "fleet": ("fleet", "fleet", "Many PCs, one stock, one budget."),
    "tradeoff": ("tradeoff", "tradeoff", "What a little more money buys."),
    "sheet": ("sheet", "sheet", "The work order for the bench, or a page for the owner."),
    "measure": ("measure", "measure", "Measure this PC, before and after the work."),
    "compare": ("compare", "compare", "Whether the plan's promise held."),
    "desk": ("desk", "desk", "The tool as a page on this machine."),
    "guide": ("guide", "guide", "The manual: a page for each task."),
    "settings": ("show_settings", "settings", "Each setting and where it comes from."),
    "audit": ("audit", "audit", "Property checks on your own data (extra: audit)."),
}


@cache
def _loaded(name: str) -> Any:
    """The command, made of its function and its options."""
    module, attribute, short_help = COMMANDS[name]
    meant = getattr(import_module(f"partsolver.cli.{module}"), attribute)
    if isinstance(meant, typer.Typer):
        group = get_group(meant)
        group.name = name
        return group
    alone = typer.Typer(rich_markup_mode=None, add_completion=False)
    alone.command(name, epilog=EVERYWHERE, short_help=short_help)(meant)
    return get_command(alone)


class _Commands(Mapping[str, Any]):
    """The commands by name, each loaded when it is looked up."""

    def __getitem__(self, name: str) -> Any:
        if name not in COMMANDS:
            raise KeyError(name)
        return _loaded(name)

    def __iter__(self) -> Iterator[str]:
        return iter(COMMANDS)

    def __len__(self) -> int:
        return len(COMMANDS)


class _Program(TyperGroup):
    """The program: a command line of any length loads one command, and the help none."""

    def __init__(self, *args: Any, **named: Any) -> None:
        super().__init__(*args, **named)
        self.commands: Any = _Commands()

    def list_commands(self, ctx: Any) -> list[str]:
        return list(COMMANDS)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, short_help) for name, (_, _, short_help) in COMMANDS.items()])


app = typer.Typer(
    name="partsolver",
    cls=_Program,
    help="Find the best new board, processor and memory for a PC whose case, supply and drives stay.",
    epilog="The manual: partsolver guide",
    add_completion=True,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"partsolver {partsolver.__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version and leave."
        ),
    ] = False,
    quiet: Annotated[
        bool, typer.Option("--quiet", "-q", help="No remarks and no progress, only results and refusals.")
    ] = False,
    verbose: Annotated[
        bool, typer.Option("--verbose", "-v", help="Tell on standard error what is done, with times.")
    ] = False,
    no_drawings: Annotated[
        bool,
        typer.Option(
            "--no-drawings", help="Sentences in place of columns and drawings, for a screen reader."
        ),
    ] = False,
    language: Annotated[
        str | None,
        typer.Option(metavar="CODE", help="Numbers and dates as written there (de, en_GB ...)."),
    ] = None,
) -> None:
    """Options of the program itself; `run` acts on all but --version, wherever they stand."""

"""A command line that cannot be read, as a fault: which word, what is wrong, what was expected, what to do.

The parser's own sentences are for programmers, and differ between its versions; what it found is taken from
its exception, and from the sentence only where the exception does not carry it.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Sequence
from typing import Any

from partsolver.base.errors import Fault, nearest
from partsolver.base.field_faults import FieldFault, field_fault
from partsolver.cli.words import meant_command, meant_option

_CHOICE = re.compile(r"'(?P<value>.*?)' is not one of (?P<words>.*?)\.?$", re.DOTALL)
_NUMBER = re.compile(r"'(?P<value>.*?)' is not a valid (?P<kind>integer|float)", re.DOTALL)
_RANGE = re.compile(
    r"(?P<value>\S+) is not in the range (?:(?P<least>[-0-9]+)<=)?x(?:(?P<sign>[<>])=?(?P<bound>[-0-9]+))?"
)
_EXTRA = re.compile(r"extra arguments? \((?P<words>.*)\)|extra argument\(s\) \((?P<more>.*)\)")


def usage_fault(error: Any, arguments: Sequence[str]) -> Fault:
    """The fault of a usage error of typer (or of Click beneath it) met in these arguments."""
    context = getattr(error, "ctx", None)
    see = f"See `{_command(context, arguments)} --help`"
    kind = type(error).__name__
    if kind == "NoSuchOption":
        return _no_option(error.option_name, context, see)
    if kind == "MissingParameter":
        return Fault(_parameter(error), "is missing", hint=see)
    if kind == "BadParameter":
        return _value(error, arguments).placed(_parameter(error), see)
    message = error.format_message().rstrip(".")
    command = re.match(r"No such command '(?P<name>.*?)'", message, re.DOTALL)
    if command:
        return _no_command(command["name"], context, see)
    if kind == "BadOptionUsage":
        problem = "takes no value" if "does not take" in message else "is missing its value"
        return Fault(error.option_name, problem, hint=see)
    extra = _EXTRA.search(message)
    if extra:
        return Fault(extra["words"] or extra["more"], "more words than the command takes", hint=see)
    return Fault(message, "cannot be read", hint=see)


def _no_option(name: str, context: Any, see: str) -> Fault:
    options = [word for p in getattr(getattr(context, "command", None), "params", ()) for word in p.opts]
    near = nearest(name.lstrip("-"), [word.lstrip("-") for word in options if word.startswith("--")])
    hint = meant_option(name) or (None if near is None else near.replace("'", "'--", 1))
    return Fault(name, "no such option", hint=f"{hint} {see}" if hint else see)


def _command(context: Any, arguments: Sequence[str]) -> str:
    """`partsolver catalog add`: the command that was being read, as far as it is known."""
    if context is not None:
        return str(context.command_path)
    from typer.main import get_command

    from partsolver.cli.app import app

    read: list[str] = ["partsolver"]
    commands: Any = getattr(get_command(app), "commands", {})
    for word in arguments:
        if word not in commands:
            break
        read.append(word)
        commands = getattr(commands[word], "commands", {})
    return " ".join(read)


def _no_command(name: str, context: Any, see: str) -> Fault:
    commands = list(getattr(getattr(context, "command", None), "commands", ()))
    hint = meant_command(name) or nearest(name, commands)
    return Fault(name, "no such command", None, ", ".join(commands) or None, f"{hint} {see}" if hint else see)


def _parameter(error: Any) -> str:
    """The option or argument as a person writes it: --goal, SURVEY."""
    parameter = getattr(error, "param", None)
    options = [name for name in getattr(parameter, "opts", ()) if name.startswith("-")]
    if options:
        return str(max(options, key=len))
    named = getattr(parameter, "metavar", None) or getattr(parameter, "human_readable_name", None)
    return str(named or getattr(error, "param_hint", None) or "the command line")


def _value(error: Any, arguments: Sequence[str]) -> FieldFault:
    """What is wrong with the value, by the validation that refused it where there was one."""
    cause: Any = getattr(error, "__cause__", None)
    for item in cause.errors() if hasattr(cause, "errors") else ():
        if item["type"] not in ("value_error", "assertion_error"):
            return field_fault(item)
    message = str(error.message)
    choice = _CHOICE.search(message)
    if choice:
        words = re.findall(r"'([^']*)'", choice["words"])
        return FieldFault(
            "not one of the words known here",
            choice["value"],
            _either(words),
            nearest(choice["value"], words),
        )
    number = _NUMBER.search(message)
    if number:
        whole = number["kind"] == "integer"
        return FieldFault(
            "not a whole number" if whole else "not a number",
            number["value"],
            "a whole number such as 8" if whole else "a number such as 1.5",
        )
    outside = _RANGE.search(message)
    if outside:
        return _outside(outside)
    return FieldFault(message.rstrip("."), _given(error, arguments), None)


def _outside(found: re.Match[str]) -> FieldFault:
    """A number beyond the limits that an option states: 0<=x<=65535, x>=1, or x<=9."""
    value, most = found["value"], found["bound"] if found["sign"] == "<" else None
    if most is not None and float(value) > float(most):
        return FieldFault("too large", value, f"{most} or less")
    return FieldFault("too small", value, f"{found['least'] or found['bound']} or more")


def _given(error: Any, arguments: Iterable[str]) -> str | None:
    """The value that stands after the option."""
    options = getattr(getattr(error, "param", None), "opts", ())
    return next((value for option, value in itertools.pairwise(arguments) if option in options), None)


def _either(words: Sequence[str]) -> str:
    return " or ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))

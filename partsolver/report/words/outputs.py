"""Sockets for a picture as people call them."""

from __future__ import annotations

OUTPUTS = {
    "vga": "VGA",
    "dvi-d": "DVI",
    "dvi-i": "DVI",
    "dvi-dual": "DVI",
    "dp": "DisplayPort",
    "dp++": "DisplayPort",
    "hdmi": "HDMI",
}


def output_name(word: str) -> str:
    """ "hdmi-1.4" -> "HDMI 1.4"."""
    base, dash, version = word.partition("-")
    if word in OUTPUTS:
        return OUTPUTS[word]
    if dash and base in OUTPUTS and version[:1].isdigit():
        return f"{OUTPUTS[base]} {version}"
    return word.upper()


def output_names(words: str) -> str:
    """ "dvi-d vga" -> "DVI, VGA"."""
    return ", ".join(output_name(word) for word in words.replace(",", " ").split())

"""Kinds of extras as people call them."""

from __future__ import annotations

KIND_NAMES = {
    "display-adapter": "display adapter",
    "io-shield": "rear shield",
    "sata-controller": "SATA controller",
    "pata-controller": "PATA controller",
    "pata-drive-adapter": "adapter for a PATA drive",
    "sata-power-splitter": "SATA power splitter",
    "sata-power-from-peripheral": "SATA power adapter",
    "peripheral-from-sata": "power adapter from SATA",
    "cpu-plug-adapter": "processor plug adapter",
    "main-plug-adapter": "main plug adapter",
    "card-plug-adapter": "card plug adapter",
    "serial-bracket": "serial bracket",
    "parallel-bracket": "parallel bracket",
    "usb-serial": "USB lead with a serial port",
    "usb-parallel": "USB lead with a parallel port",
    "usb-ps2": "USB lead for keyboard or mouse",
    "usb-hub": "USB hub",
    "usb-floppy": "USB floppy drive",
    "usb-enclosure": "USB box for a drive",
    "front-usb-adapter": "front USB adapter",
    "front-audio-adapter": "front audio adapter",
    "m2-card": "card for a module",
    "tpm-module": "platform module",
    "os-licence": "system licence",
    "firmware-update": "firmware update",
    "thermal-paste": "thermal paste",
    "standoffs": "standoffs",
    "fan-splitter": "fan splitter",
    "sata-data-cable": "SATA data lead",
    "drive-frame": "frame for a drive",
    "system-install-media": "installation stick",
}


def kind_name(kind: str) -> str:
    """What an extra of this kind is."""
    return KIND_NAMES.get(kind, kind.replace("-", " "))


__all__ = ["KIND_NAMES", "kind_name"]

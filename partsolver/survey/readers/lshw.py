"""lshw -json and -xml of all versions, the invalid JSON of B.02.19 included. One tree of nodes with text
keys.

What it cannot tell: socket code, slots, ports, TPM; its "version" of a processor has lost half of the model
number; sizes of 32 bits wrap (reference/survey-formats.md, section 2.2). Type and form words of DDR5 are
missing.
"""

from __future__ import annotations

import contextlib
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from typing import Any

from partsolver.base.records import record
from partsolver.standards.isa import level_of
from partsolver.survey.facts import OUTSIDE, Facts, Notes, clean, is_placeholder
from partsolver.survey.readers.dmi_facts import bios_year, is_brand, note_base_clock, note_firmware_version
from partsolver.survey.readers.dmi_memory import MOST_SLOTS, note_capacity
from partsolver.survey.readers.text import is_broken_off, json_of, text_of, whole
from partsolver.survey.readers.units import brand_cores

KIND = "lshw"
_DEEPEST = 60
_CHASSIS = {  # words of lshw's dmi.cc -> SMBIOS words
    "desktop": "Desktop",
    "low-profile": "Low Profile Desktop",
    "pizzabox": "Pizza Box",
    "mini-tower": "Mini Tower",
    "tower": "Tower",
    "portable": "Portable",
    "laptop": "Laptop",
    "notebook": "Notebook",
    "all-in-one": "All In One",
    "sub-notebook": "Sub Notebook",
    "space-saving": "Space-saving",
    "lunchbox": "Lunch Box",
    "server": "Main Server Chassis",
    "tablet": "Tablet",
    "convertible": "Convertible",
    "detachable": "Detachable",
    "mini": "Mini PC",
    "stick": "Stick PC",
}
_ID = re.compile(
    r"(core|firmware|cpu|cache|memory|bank|pci|isa|ide|sata|scsi|storage|raid|nvme|namespace|disk|cdrom|medium|volume|logicalvolume"
    r"|display|usb|usbhost|network|multimedia|communication|serial|generic|power|battery|sound|input|logicalcpu)(:[0-9]{1,4})?"
)
_TYPE = re.compile(r"\b(LPDDR[2-5]?|DDR[2-5]|DDR|SDRAM|RDRAM|DRAM|EDO)\b")
_FORM = re.compile(r"^(SODIMM|DIMM|RIMM|FB-DIMM|Chip|Row of chips|SIMM)\b", re.IGNORECASE)


@record
class Node:
    """A node of the tree with its parents (outermost first) and its place."""

    data: dict[str, Any]
    parents: tuple[dict[str, Any], ...]
    where: str

    def text(self, key: str) -> str:
        value = self.data.get(key)
        return value.strip() if isinstance(value, str) else ""

    def map(self, key: str) -> dict[str, Any]:
        value = self.data.get(key)
        return value if isinstance(value, dict) else {}

    def names(self) -> list[str]:
        value = self.data.get("logicalname")
        return [v for v in (value if isinstance(value, list) else [value]) if isinstance(v, str)]


def reads(data: bytes) -> bool:
    """Whether it is a tree (or flat list) of nodes with id and class, as JSON or XML."""
    return bool(_roots(data))


def read(data: bytes, where: str) -> Facts:
    """Facts of the tree. Never fails."""
    notes = Notes(KIND)
    roots = _roots(data)
    systems = [root for root in roots if root["class"] == "system"]
    if len(systems) > 1:
        notes.remark(f"{where} holds several systems; only the first was read")
        roots = systems[:1]
    note_roots(roots, where, notes, _is_unfinished(data))
    return notes.done()


def _is_node(value: object) -> bool:
    return (
        isinstance(value, dict) and isinstance(value.get("id"), str) and isinstance(value.get("class"), str)
    )


def _is_unfinished(data: bytes) -> bool:
    text = (text_of(data) or "").rstrip()
    return is_broken_off(data) or ("<node" in text and not text.endswith(("</node>", "</list>")))


def _roots(data: bytes) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for value in json_of(data):
        found += [item for item in (value if isinstance(value, list) else [value]) if _is_node(item)]
    text = text_of(data)
    if not found and text is not None and "<node" in text:
        found = _from_xml(text)
    return found


def _from_xml(text: str) -> list[dict[str, Any]]:
    """Nodes of an XML text, as far as it is well formed. Documents with declarations of their own are not
    read."""
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        return []
    start = min((at for at in (text.find("<list"), text.find("<node")) if at >= 0), default=0)
    tops: list[ET.Element] = []
    pull: Any = ET.XMLPullParser(("start",))
    with contextlib.suppress(ET.ParseError):
        pull.feed(text[start:])
    with contextlib.suppress(ET.ParseError):
        for event in pull.read_events():
            if isinstance(event[1], ET.Element):
                tops.append(event[1])
                break
    top = tops[0] if tops else None
    if top is None:
        return []
    nodes = [top] if top.tag == "node" else top.findall("node")
    return [node for node in (_node(item, 0) for item in nodes) if _is_node(node)]


def _node(element: ET.Element, depth: int) -> dict[str, Any]:
    result: dict[str, Any] = dict(element.attrib)
    for child in element:
        value = (child.text or "").strip()
        if child.tag == "node":
            if depth < _DEEPEST:
                result.setdefault("children", []).append(_node(child, depth + 1))
        elif child.tag in ("configuration", "capabilities"):
            result[child.tag] = {
                item.get("id", ""): item.get("value") or (item.text or "").strip() or True for item in child
            }
        elif child.tag in ("size", "capacity", "clock", "width"):
            result[child.tag] = whole(value)
        elif child.tag == "logicalname" and "logicalname" in result:
            before = result["logicalname"]
            result["logicalname"] = [*(before if isinstance(before, list) else [before]), value]
        else:
            result[child.tag] = value
    return result


def _walk(data: dict[str, Any], parents: tuple[dict[str, Any], ...], where: str) -> Iterator[Node]:
    yield Node(data, parents, where)
    children = data.get("children")
    if isinstance(children, list) and len(parents) < _DEEPEST:
        for child in children:
            if _is_node(child):
                # ids may hold the host's name (the root's always does): other than known words stay out of a
                # path
                step = child["id"] if _ID.fullmatch(child["id"]) else "node"
                yield from _walk(child, (*parents, data), f"{where}.{step}")


def note_roots(roots: list[dict[str, Any]], where: str, notes: Notes, broken_off: bool = False) -> None:
    """Note what trees of nodes say. ``broken_off``: the text ends early, so lists may be incomplete."""
    nodes = [node for root in roots for node in _walk(root, (), f"{where} $")]
    for node in nodes:
        notes.hide_all(node.data.items())
        notes.hide_all(node.map("configuration").items())
        if node.data.get("class") == "system" and not node.parents:
            notes.hide("hostname", "" if node.text("id") == "computer" else node.text("id"))
    # an emulated processor carries the system's version; a real one carries none or its own
    versions = {node.text("version") for node in nodes if node.data["class"] == "system" and not node.parents}
    banks: list[Node] = []
    for node in nodes:
        kind, node_id = node.data["class"], node.data["id"]
        if kind == "system" and not node.parents:
            _system(node, notes)
        elif kind == "bus" and node_id == "core":
            notes.add(
                "board.name", node.text("product"), node.where, f"board product {node.text('product')!r}"
            )
            notes.add("board.maker", node.text("vendor"), node.where, f"board maker {node.text('vendor')!r}")
        elif kind == "memory" and node.text("description") == "BIOS":
            _firmware(node, notes)
        elif kind == "processor" and re.match(r"cpu(:\d+)?$", node_id):
            _processor(node, versions, broken_off, notes)
        elif kind == "memory" and re.match(r"bank(:\d+)?$", node_id):
            banks.append(node)
        elif kind == "disk" and re.match(r"(disk|cdrom|namespace)(:\d+)?$", node_id) and not broken_off:
            # in a broken-off tree a parent may lack the key that tells a stick from a drive
            _disk(node, notes)
        elif kind == "display":
            _display(node, notes)
        elif kind == "power" and (watts := whole(node.data.get("capacity"))) and watts != 0x8000:
            notes.add("psu.seen_rated_w", watts, node.where, f"supply record says {watts} W", "doubtful")
    _banks(banks, broken_off, notes)


def _system(node: Node, notes: Notes) -> None:
    product = re.sub(r"\s*\([^()]*\)$", "", node.text("product"))
    vendor = node.text("vendor")
    if not is_placeholder(product) and not is_placeholder(vendor):
        notes.add("pc.maker_model", f"{vendor} {product}", node.where, f"system {vendor!r} {product!r}")
    chassis = _CHASSIS.get(str(node.map("configuration").get("chassis")))
    notes.add("case.seen_chassis", chassis, node.where, f"chassis type {chassis}", "doubtful")
    if "virtual" in product.lower():
        notes.add("pc.seen_virtual", True, node.where, "system of a virtual machine", "sure")


def _firmware(node: Node, notes: Notes) -> None:
    # old releases put the date behind the version
    note_firmware_version(notes, re.sub(r"\s*\([0-9/.-]+\)$", "", node.text("version")), node.where)
    year = bios_year(node.text("date"))
    notes.add("board.seen_firmware_year", year, node.where, f"firmware dated {node.text('date')}", "doubtful")
    abilities = node.map("capabilities")
    if abilities:
        uefi = "uefi" in abilities
        said = "firmware says that UEFI is supported" if uefi else "firmware does not mention UEFI"
        notes.add("board.seen_uefi", uefi, node.where, said, "doubtful")
    if "virtualmachine" in abilities:
        notes.add("pc.seen_virtual", True, node.where, "firmware of a virtual machine", "sure")


def _processor(node: Node, versions: set[str], broken_off: bool, notes: Notes) -> None:
    # old versions list a second core as another processor: only nodes with a firmware handle are sockets
    if not node.text("handle").startswith("DMI:") or node.data.get("disabled") is True:
        return
    name, where = node.text("product"), node.where
    if node.text("version") in versions and not is_placeholder(node.text("version")):
        notes.add("pc.seen_virtual", True, where, "processor of a virtual machine", "sure")
    if not name or "[empty]" in name:
        return
    notes.add(
        "cpu.name", name, where, f"processor {clean(name)!r}", "likely" if is_brand(name) else "doubtful"
    )
    notes.add("cpu.maker", node.text("vendor"), where, f"processor maker {node.text('vendor')!r}")
    note_base_clock(notes, name, None, None, None, where)
    notes.add("cpu.seen_brand_cores", brand_cores(name), where, f"processor {clean(name)!r}", "doubtful")
    notes.add(
        "cpu.seen_designation",
        node.text("slot"),
        where,
        f"socket designation {node.text('slot')!r}",
        "doubtful",
    )
    top = whole(node.data.get("capacity"))
    if top:
        notes.add(
            "cpu.seen_max_mhz",
            top // 1_000_000,
            where,
            f"capacity {top} Hz (may have wrapped at 32 bits)",
            "doubtful",
        )
    settings = node.map("configuration")
    cores, enabled, threads = (whole(settings.get(key)) for key in ("cores", "enabledcores", "threads"))
    if cores:
        fits = enabled in (None, cores) and threads is not None and cores <= threads <= 2 * cores
        said = f"cores {cores}, enabled {enabled or 'not given'}, threads {threads or 'not given'}"
        notes.add("cpu.cores", cores, where, said, "likely" if fits else "doubtful")
        notes.add("cpu.threads", threads, where, said, "likely" if fits else "doubtful")
    flags = node.map("capabilities")
    if "fpu" in flags:
        # a 32-bit system does not list syscall, which every 64-bit processor has
        level = level_of([*flags, "syscall"]) if "x86-64" in flags else 0
        notes.add(
            "cpu.x86_level",
            level,
            where,
            f"instruction sets of x86-64 level {level}",
            "doubtful" if broken_off else "likely",
        )
    if "hypervisor" in flags:
        notes.add("pc.seen_virtual", True, where, "processor flag of a virtual machine", "sure")


def _banks(banks: list[Node], broken_off: bool, notes: Notes) -> None:
    banks = [
        b
        for b in banks
        if "FLASH" not in b.text("description").upper() and "ROM" not in b.text("slot").upper()
    ]
    index = 0
    for bank in banks:
        size, said = whole(bank.data.get("size")), bank.text("description")
        if not size or "[empty]" in said:
            continue
        at, slot = f"memory[{index}]", clean(bank.text("slot"), 40)
        kind, form = _TYPE.search(said), _FORM.match(said)
        mib = size // 1024**2 if size % 1024**2 == 0 else None
        note_capacity(notes, at, mib, bank.where, f"{slot}: size {size} bytes", kind[1] if kind else "")
        word = kind[1] if kind else "type not given"
        notes.add(f"{at}.seen_type", word, bank.where, f"{slot}: {clean(said, 60)!r}", "doubtful")
        if form:
            notes.add(f"{at}.seen_form", form[1], bank.where, f"{slot}: form factor {form[1]}", "doubtful")
        speed = re.search(r"\b([0-9]{2,5}) MHz", said)
        if speed:
            notes.add(
                f"{at}.seen_speed_mts", int(speed[1]), bank.where, f"{slot}: speed {speed[1]}", "doubtful"
            )
        index += 1
    if banks:
        fits = len(banks) <= MOST_SLOTS and not broken_off
        said = f"{len(banks)} memory banks listed"
        notes.add("board.memory_slots", len(banks), banks[0].where, said, "likely" if fits else "doubtful")
        if broken_off:
            notes.add(
                "memory.seen_missing",
                True,
                banks[0].where,
                "the file is broken off: there may be more modules",
                "doubtful",
            )
        notes.add(
            "memory.seen_modules",
            index,
            banks[0].where,
            f"{index} of {len(banks)} banks hold a module",
            "doubtful",
        )


def _disk(node: Node, notes: Notes) -> None:
    device = next(
        (name for name in node.names() if re.fullmatch(r"/dev/(sd[a-z]+|sr\d+|hd[a-z]|nvme\d+n\d+)", name)),
        None,
    )
    if device is None:
        return
    at, where = f"drive[{device.removeprefix('/dev/')}]", node.where
    if any(str(item.get("businfo", "")).startswith("usb@") for item in (node.data, *node.parents)):
        notes.add(f"{at}.{OUTSIDE}", True, where, "behind a USB port", "doubtful")
        return
    notes.add(f"{at}.seen_model", node.text("product"), where, f"model {node.text('product')!r}", "doubtful")
    if node.data["id"].startswith("cdrom"):
        notes.add(f"{at}.kind", "optical", where, node.text("description") or "optical drive", "sure")
    size = whole(node.data.get("size"))
    if size and not node.data["id"].startswith("cdrom"):
        notes.add(f"{at}.capacity_gb", (size + 500_000_000) // 10**9, where, f"size {size} bytes", "sure")
    abilities = node.map("capabilities")
    for ability, word in (("partitioned:dos", "mbr"), ("partitioned:gpt", "gpt"), ("gpt-1.00", "gpt")):
        if ability in abilities:
            notes.add(f"{at}.partition_table", word, where, f"partition table {ability}", "sure")
            break
    if _mounts_root(node.data, 0):
        notes.add(f"{at}.system", True, where, "a partition of it is mounted as /", "sure")
    for parent in reversed(node.parents):
        driver = (
            str((parent.get("configuration") or {}).get("driver") or "")
            if isinstance(parent.get("configuration"), dict)
            else ""
        )
        if driver == "ahci":
            # this driver serves controllers set to RAID as well: their class tells them apart
            if "RAID" in f"{parent.get('description')} {parent.get('product')}" or parent["id"] == "raid":
                break
            notes.add(f"{at}.storage_mode", "ahci", where, "its controller runs with the driver ahci", "sure")
            break


def _mounts_root(data: dict[str, Any], depth: int) -> bool:
    names = data.get("logicalname")
    if isinstance(names, list) and "/" in names:
        return True
    children = data.get("children")
    return (
        depth < _DEEPEST
        and isinstance(children, list)
        and any(_mounts_root(c, depth + 1) for c in children if _is_node(c))
    )


def _display(node: Node, notes: Notes) -> None:
    bus = re.match(r"pci@[0-9a-f]+:([0-9a-f]{2}):", node.text("businfo"))
    if bus and bus[1] != "00" and node.text("product"):
        said = f"graphics {node.text('product')!r} behind a bridge: a card, or a chip on the board"
        notes.add("card.seen_graphics", node.text("product"), node.where, said, "doubtful")

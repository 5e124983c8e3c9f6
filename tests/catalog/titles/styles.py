"""House styles: the same invented articles as five kinds of shops would print them, with their right
reading."""

from __future__ import annotations

from collections.abc import Iterator

# name, socket word and cell, chipset, form as printed and cell, memory
BOARDS = [
    ("Tollmere", "LGA 1700", "LGA1700", "B660", "Micro ATX", "microatx", "DDR4"),
    ("Kestevan", "AM4", "AM4", "B550", "ATX", "atx", "DDR4"),
    ("Virdano", "AM5", "AM5", "B650", "Mini-ITX", "mini-itx", "DDR5"),
    ("Brunnach", "LGA 1200", "LGA1200", "H510", "mATX", "microatx", "DDR4"),
]
# name, cores, GHz, boost GHz, socket, watts
CPUS = [
    ("Ostrelle Weald V6", 6, "3.6", "4.2", "AM4", 65),
    ("Halvorn Stile Q4", 4, "3.3", "4.3", "LGA1700", 58),
    ("Ostrelle Weald W8", 8, "3.8", "5.3", "AM5", 105),
    ("Halvorn Stile P6", 6, "2.9", "4.1", "LGA1200", 65),
]
# name, count, GB of one, generation, rate
KITS = [
    ("Lumbrick", 2, 8, 4, 3200),
    ("Cadmora", 1, 16, 4, 2666),
    ("Petrigan", 2, 4, 3, 1600),
    ("Lumbrick", 2, 16, 5, 5200),
]

Labelled = tuple[str, str, dict[str, str], str]


def styled_titles() -> Iterator[Labelled]:
    """(language, kind, facts, title) in five house styles."""
    for maker, socket, cell, chipset, form, form_cell, memory in BOARDS:
        facts = {
            "socket": cell,
            "chipset": chipset,
            "form_factor": form_cell,
            "memory_generation": memory.lower(),
        }
        yield "en", "boards", facts, f"{maker} {chipset}-K {chipset} {socket} {form} {memory} Motherboard"
        yield "de", "boards", facts, f"{maker} {chipset}-K ({chipset},{socket},{form},{memory}) Mainboard"
        yield "fr", "boards", facts, f"Carte mère {maker} {chipset} / {socket} / {form} / {memory}"
        yield "es", "boards", facts, f"Placa base {maker} {chipset} | {socket} | {form} | {memory}"
        yield "pl", "boards", facts, f"Płyta główna {maker} {chipset} - {socket} - {form} - {memory}"
    for name, cores, base, boost, socket, watts in CPUS:
        facts = {
            "cores": str(cores),
            "base_mhz": str(int(float(base) * 1000)),
            "boost_mhz": str(round(float(boost) * 1000)),
            "socket": socket,
            "tdp_w": str(watts),
        }
        comma, peak = base.replace(".", ","), boost.replace(".", ",")
        yield (
            "en",
            "cpus",
            facts,
            f"{name} {cores}-Core {base} GHz (up to {boost} GHz) {socket} {watts}W Processor",
        )
        yield (
            "de",
            "cpus",
            facts,
            f"{name}, {cores} Kerne, {comma} GHz, Turbo {peak} GHz, {socket}, {watts} W, CPU",
        )
        yield (
            "fr",
            "cpus",
            facts,
            f"Processeur {name} ({comma} GHz / {peak} GHz) {cores} coeurs {socket} {watts}W",
        )
        yield (
            "es",
            "cpus",
            facts,
            f"Procesador {name} {cores} núcleos {base}GHz hasta {boost}GHz {socket} TDP {watts}W",
        )
        yield (
            "pl",
            "cpus",
            facts,
            f"Procesor {name}, {cores} rdzeni, {base} GHz, do {boost} GHz, {socket}, {watts}W",
        )
    for name, count, size, generation, rate in KITS:
        facts = {
            "modules": str(count),
            "module_mib": str(size * 1024),
            "generation": f"ddr{generation}",
            "rate_mts": str(rate),
        }
        total = count * size
        yield "en", "memory", facts, f"{name} {total}GB ({count}x{size}GB) DDR{generation}-{rate} Memory"
        yield (
            "de",
            "memory",
            facts,
            f"Arbeitsspeicher {name} {total} GB {count} × {size} GB DDR{generation} {rate} MHz",
        )
        yield (
            "fr",
            "memory",
            facts,
            f"Mémoire {name} {total} Go ({count} x {size} Go) DDR{generation} {rate} MHz",
        )
        yield (
            "es",
            "memory",
            facts,
            f"Memoria RAM {name} {total}GB {count}x{size}GB DDR{generation} PC{generation}-{_number(rate)}",
        )
        yield "pl", "memory", facts, f"Pamięć {name} DDR{generation} {size}GBx{count} {rate}MHz"


def _number(rate: int) -> int:
    """The module name's number: MB/s, as printed (JEDEC names: 1600 -> 12800, 2666 -> 21300)."""
    return {1600: 12800, 2666: 21300, 3200: 25600, 5200: 41600}[rate]

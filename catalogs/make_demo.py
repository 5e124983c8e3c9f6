"""All data written by this script are invented: makers, parts, sockets, chipsets, families, sellers and
prices.

It writes the demo catalogue beside it (``catalogs/demo/*.csv`` and ``catalog.toml``). Run it without
arguments: ``python catalogs/make_demo.py``. Same script, same bytes: the seed is fixed and every table is
written in the order of the lists in ``demo_parts.py``. Magnitudes (sizes, plugs, currents, rates) follow the
published standards; names and prices do not follow anybody's. Offers that the demo survey's story needs are
written by hand (``HAND_OFFERS``).
"""

from __future__ import annotations

import csv
import io
import os
import random
from pathlib import Path

from demo_parts import (
    BOARDS,
    BUNDLES,
    CASES,
    CHIPSETS,
    COOLERS,
    CPUS,
    DRIVES,
    EXTRAS,
    FAMILIES,
    GRAPHICS,
    HAND_OFFERS,
    MAKERS,
    MEMORY,
    MEMORY_MAKERS,
    NOT_OFFERED,
    ODD_MEMORY,
    PSUS,
    SELLERS,
    Row,
)

HERE = Path(__file__).resolve().parent
OUT = HERE / "demo"
AS_OF = "2026-11-20"
RANDOM = random.Random(20261120)

# What the makers' sheets of these parts say beside what the lists in demo_parts.py spell out: a blank cell
# would mean that nobody knows.
STATED: dict[str, Row] = {
    "boards": {
        "cpu_families_until": "none",
        "firmware_steps": "none",
        "memory_module": "dimm",
        "memory_ecc": "no",
        "memory_registered": "no",
        "flash_without_cpu": "no",
        "slots": "none",
        "m2_slots": "none",
        "sata_6g_ports": "0",
        "sata_3g_ports": "0",
        "sata_1g5_ports": "0",
        "pata_channels": "0",
        "floppy_headers": "0",
        "outputs": "none",
        "ps2_ports": "0",
        "serial_ports": "0",
        "serial_headers": "0",
        "parallel_ports": "0",
        "parallel_headers": "0",
        "usb_rear_ports": "6",
        "usb2_headers": "0",
        "usb3_headers": "0",
        "usb_e_headers": "0",
        "front_audio": "hd",
        "fan_headers": "2",
        "storage_modes": "ahci",
        "secure_boot": "no",
        "tpm": "none",
        "nvme_boot": "no",
        "shield": "included",
    },
    "cpus": {
        "score_origin": "published",
        "memory_channels": "2",
        "graphics_score": "0",
        "boxed_cooler": "no",
    },
    "memory": {
        "module": "dimm",
        "registered": "no",
        "ecc": "no",
    },
    "coolers": {
        "paste_included": "yes",
        "fan_pins": "4",
    },
    "psus": {
        "form": "atx",
        "pinout": "atx",
        "card_plugs": "none",
        "peripheral_plugs": "0",
        "floppy_plugs": "0",
        "condition": "good",
        "efficiency": "none",
    },
    "cases": {
        "aperture": "atx",
        "slot_height": "full",
        "standoffs_fixed": "none",
        "psu_form": "atx",
        "front_usb2_plugs": "0",
        "front_usb3_plugs": "0",
        "front_usb_e_plugs": "0",
        "front_audio": "none",
        "front_panel": "separate",
        "fans": "1",
    },
}

CATALOG_TOML = f"""# Demo catalogue of partsolver. Every maker, part, socket, chipset, family, seller and price in it is invented.
# Written by catalogs/make_demo.py; change demo_parts.py beside it, not the tables.
name = "Demo catalogue"
currency = "EUR"
as_of = {AS_OF}
origin = "invented for demonstration"

# The machine that all scores are relative to: a midrange desktop of about 2016 with two channels of 2133 MT/s.
[reference]
serial_score = 1000
parallel_score = 4000
memory_mbs = 34133
storage_mbs = 500
graphics_score = 1000
"""


def cpus() -> tuple[list[Row], dict[str, tuple[float, bool]]]:
    """Processor rows, and price and "on sale new" by id. Scores: points per MHz x clock, a little noise; then
    cores."""
    rows: list[Row] = []
    prices = {}
    initials = dict(zip(FAMILIES, "tyausfgfvlbrc", strict=True)) | {
        "adze": "a",
        "burin": "u",
        "froe": "f",
        "gavel": "v",
    }
    for spec in CPUS.replace("\n", " | ").split("|"):
        if not spec.strip():
            continue
        family, line, cores_text, clock, flags, tdp, limit, price = spec.split()
        maker, socket, per_mhz, year, rates, level, graphics, share, on_sale = FAMILIES[family]
        cores, smt, bare = int(cores_text), "s" in flags, "x" in flags
        model = f"{initials[family].upper()}{cores}{'s' if smt else ''}-{clock}{'x' if bare else ''}"
        part = f"{line}-{model}".lower()
        serial = round(per_mhz * int(clock) * 100 * RANDOM.uniform(0.985, 1.015))
        crowded = 1 - 0.012 * max(0, cores - 4)
        parallel = round(serial * cores * share * (1.27 if smt else 1) * crowded * RANDOM.uniform(0.98, 1.02))
        row: Row = {
            "id": part,
            "name": f"{maker} {line} {model}",
            "maker": maker,
            "socket": socket,
            "family": family,
            "cores": cores,
            "threads": cores * 2 if smt else cores,
            "base_mhz": int(clock) * 100 - RANDOM.choice((200, 300, 400, 600)),
            "boost_mhz": int(clock) * 100,
            "tdp_w": tdp,
            "power_limit_w": "" if limit == "0" else limit,
            "memory_rates": rates,
            "memory_max_mib": {"ddr3": 32768, "ddr4": 131072}.get(rates[:4], 196608),
            "graphics_score": 0 if bare else round(graphics * RANDOM.uniform(0.95, 1.05)),
            "legacy_video": {"gavel": "yes", "trammel": "no", "scriber": "no"}.get(family, ""),
            "x86_level": 2 if "2" in flags else level,
            "architecture_class": family,
            "boxed_cooler": "yes" if "b" in flags else "no",
            "year": year,
            "mass_g": 30 + 5 * cores,
            "source": "invented",
        }
        if "e" not in flags:
            row |= {
                "serial_score": serial,
                "parallel_score": parallel,
                "score_origin": "measured" if "m" in flags else "published",
            }
        if "m" in flags:
            row["score_error_percent"] = 2
        rows.append(row)
        prices[part] = (float(price), on_sale)
    return rows, prices


def boards() -> tuple[list[Row], dict[str, tuple[float, bool]]]:
    """Board rows; DDR3 boards and the older DDR4 socket are only to be had used."""
    rows: list[Row] = []
    prices = {}
    for part, chipset, form, width, depth, firmware, price, more in BOARDS:
        maker = "Brand" if part.startswith("brand") else MAKERS[part[:2]]
        row: Row = CHIPSETS[chipset] | {
            "id": part,
            "name": f"{maker} {part.split('-')[1].upper()}" + (" board, pulled" if maker == "Brand" else ""),
            "maker": maker,
            "chipset": chipset,
            "form_factor": form,
            "width_mm": width,
            "depth_mm": depth,
            "firmware_shipped": firmware,
            "mass_g": width * depth // 110,
            "source": "invented",
        }
        row |= more
        row["memory_max_mib"] = int(str(row["memory_slots"])) * int(str(row["memory_max_module_mib"]))
        rows.append(row)
        prices[part] = (price, row["socket"] in ("corbel", "sloop", "plinth"))
    return rows, prices


def memory() -> tuple[list[Row], dict[str, tuple[float, bool]]]:
    """Memory kits: the grid of usual ones, then the odd ones."""
    rows: list[Row] = []
    prices = {}
    for generation, rates, sizes, per_gib, voltage in MEMORY:
        for rate in rates:
            for size in sizes:
                for modules in (1, 2):
                    maker = MEMORY_MAKERS[len(rows) % 3]
                    part = f"{generation}-{modules}x{size}-{rate}"
                    rows.append(
                        {
                            "id": part,
                            "name": f"{maker} {modules} x {size} GiB {generation.upper()}-{rate}",
                            "maker": maker,
                            "generation": generation,
                            "modules": modules,
                            "module_mib": size * 1024,
                            "rate_mts": rate,
                            "ranks": 1 if size < 16 else 2,
                            "voltage_mv": voltage,
                            "mass_g": 35 * modules,
                            "source": "invented",
                        }
                    )
                    faster = 1 + 0.05 * rates.index(rate)
                    # Few want small modules, many want 8 and 16 GiB: the price of a GiB falls a little with
                    # size.
                    prices[part] = (
                        (2.0 + per_gib * size * modules * faster) * (0.9 if size == sizes[-1] else 1),
                        generation != "ddr3",
                    )
    for part, name, price, more in ODD_MEMORY:
        rows.append(
            {"id": part, "name": name, "maker": name.split()[0], "mass_g": 70, "source": "invented"} | more
        )
        prices[part] = (price, more["generation"] != "ddr3" and "registered" not in more)
    return rows, prices


def small_tables() -> tuple[dict[str, list[Row]], dict[str, tuple[float, bool]]]:
    """Coolers, extras, supplies, cases, drives and graphics cards."""
    names = ("coolers", "extras", "psus", "cases", "drives", "graphics")
    tables: dict[str, list[Row]] = {name: [] for name in names}
    prices: dict[str, tuple[float, bool]] = {}
    for part, name, sockets, height, watts, pins, paste, price in COOLERS:
        tables["coolers"].append(
            {
                "id": part,
                "name": name,
                "maker": name.split()[0],
                "sockets": sockets,
                "height_mm": height,
                "rated_w": watts,
                "paste_included": paste,
                "fan_pins": pins,
                "mass_g": watts * 4,
                "source": "invented",
            }
        )
        prices[part] = (price, True)
    for number, (part, kind, name, takes, gives, count, price, more) in enumerate(EXTRAS):
        maker = ("Klemmbar", "Ponticel")[number % 2]
        tables["extras"].append(
            {
                "id": part,
                "name": name,
                "maker": maker,
                "kind": kind,
                "takes": takes,
                "gives": gives,
                "count": count,
                "source": "invented",
            }
            | more
        )
        prices[part] = (price, True)
    for part, name, watts, cpu, card, sata, perip, rails, combined, year, price, more in PSUS:
        tables["psus"].append(
            {
                "id": part,
                "name": name,
                "maker": name.split()[0],
                "rated_w": watts,
                "year": year,
                "main_plug": "24",
                "cpu_plugs": cpu,
                "card_plugs": card,
                "sata_plugs": sata,
                "peripheral_plugs": perip,
                "floppy_plugs": 1 if year < 2020 else 0,
                "rail_12v_ma": rails,
                "combined_12v_ma": combined or "",
                "rail_5v_ma": 16000,
                "rail_3v3_ma": 16000,
                "combined_5v_3v3_mw": 103000,
                "mass_g": 900 + watts * 2,
                "source": "invented",
            }
            | more
        )
        prices[part] = (price, year >= 2020)
    for part, name, form, depth, openings, cooler, usb, fans, price, more in CASES:
        tables["cases"].append(
            {
                "id": part,
                "name": name,
                "maker": name.split()[0],
                "form_factor": form,
                "max_board_depth_mm": depth,
                "slot_openings": openings,
                "max_cooler_height_mm": cooler,
                "front_usb2_plugs": usb[0],
                "front_usb3_plugs": usb[1],
                "front_usb_e_plugs": usb[2],
                "front_audio": "hd",
                "fans": fans,
                "mass_g": 3500 + 300 * openings,
                "source": "invented",
            }
            | more
        )
        prices[part] = (price, "used" not in name)
    for part, name, kind, interface, read, capacity, price, more in DRIVES:
        tables["drives"].append(
            {
                "id": part,
                "name": name,
                "maker": name.split()[0],
                "kind": kind,
                "interface": interface,
                "read_mbs": read,
                "capacity_gb": capacity,
                "mass_g": 620 if kind == "hdd35" else 45,
                "source": "invented",
            }
            | more
        )
        prices[part] = (price, "used" not in name)
    for (
        part,
        name,
        height,
        slots,
        length,
        plugs,
        load,
        score,
        outputs,
        most,
        uefi,
        year,
        price,
        more,
    ) in GRAPHICS:
        tables["graphics"].append(
            {
                "id": part,
                "name": name,
                "maker": name.split()[0],
                "bus": "pcie",
                "lanes": 16,
                "height": height,
                "width_slots": slots,
                "length_mm": length,
                "power_plugs": plugs,
                "load_mw": load,
                "graphics_score": score,
                "outputs": outputs,
                "max_displays": most,
                "uefi": uefi,
                "legacy_video": "yes",
                "year": year,
                "mass_g": 250 + 3 * length,
                "source": "invented",
            }
            | more
        )
        prices[part] = (price, "used" not in name)
    return tables, prices


def _price(value: float) -> str:
    """A price as shops write it: whole amounts and .50 below 20, .90 above."""
    return f"{max(1, int(value * 2 + 0.5)) / 2:.2f}" if value < 20 else f"{int(value) + 0.9:.2f}"


def offers(prices: dict[str, tuple[float, bool]], board_ids: set[str]) -> list[Row]:
    """One to three offers a part around its price; used ones vary more; then the hand-written ones."""
    rows: list[Row] = []
    taken = {(part, seller) for part, seller, *_ in HAND_OFFERS}
    for part, (price, on_sale) in prices.items():
        if part in NOT_OFFERED:
            continue
        shops = (
            ["millrace", "hollow-lane", "pallet-crate"]
            if on_sale
            else ["second-bench", "attic-finds", "hollow-lane"]
        )
        RANDOM.shuffle(shops)
        chosen = shops[: RANDOM.choice((1, 1, 2))]
        if on_sale and RANDOM.random() < 0.15 and price > 20:
            chosen.append("attic-finds")
        for seller in chosen:
            used = not on_sale or seller == "attic-finds"
            noise = RANDOM.uniform(0.92, 1.16) if used else RANDOM.uniform(0.98, 1.08)
            luck, stock = RANDOM.random(), RANDOM.randint(1, 4) if used else RANDOM.randint(3, 40)
            row: Row = {
                "part": part,
                "seller": seller,
                "price": _price(price * noise * (0.7 if used and on_sale else 1)),
                "stock": stock,
                "source": "invented",
            }
            if used:
                row["condition"] = "refurbished" if seller == "second-bench" else "used"
                row["tested"] = "no" if seller == "attic-finds" else "yes"
                if part in board_ids and seller == "attic-finds" and RANDOM.random() < 0.3:
                    row["shield"] = "missing"
            if luck < 0.05:
                row["stock"] = 0
            elif luck < 0.09:
                row["stock"] = ""
            elif luck < 0.12 and not used:
                row["available_on"] = RANDOM.choice(("2026-11-27", "2026-12-01", "2026-12-15"))
            if (part, seller) not in taken:
                rows.append(row)
    for part, seller, amount, pieces, more in HAND_OFFERS:
        rows.append(
            {"part": part, "seller": seller, "price": amount, "stock": pieces, "source": "invented"} | more
        )
    return rows


def stated_by_sellers(tables: dict[str, list[Row]]) -> None:
    """What the sellers of used goods state beside the price, where the list does not say otherwise:
    firmware, shield, cooler and paste as the part's own row has them. Blank would mean that nobody knows."""
    parts = {str(row["id"]): (name, row) for name in ("boards", "cpus", "coolers") for row in tables[name]}
    columns = {
        "boards": (("firmware", "firmware_shipped"), ("shield", "shield")),
        "cpus": (("boxed_cooler", "boxed_cooler"),),
        "coolers": (("paste_included", "paste_included"),),
    }
    for offer in tables["offers"]:
        if offer.get("condition") in ("used", "refurbished") and str(offer["part"]) in parts:
            table, part = parts[str(offer["part"])]
            for column, fact in columns[table]:
                offer.setdefault(column, part.get(fact, ""))
    for bundle in tables["bundles"]:
        for item in str(bundle["items"]).split():
            table, part = parts.get(item.partition("*")[0], ("", {}))
            for column, fact in columns.get(table, ()):
                bundle.setdefault(column, part.get(fact, ""))


def write(name: str, header: list[str], rows: list[Row]) -> None:
    """One table as CSV (comma, UTF-8, LF); written whole or not at all."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, header, lineterminator="\n", restval="")
    writer.writeheader()
    writer.writerows(rows)
    _replace(OUT / f"{name}.csv", text.getvalue())


def _replace(path: Path, text: str) -> None:
    part = path.with_name(path.name + ".part")
    part.write_text(text, encoding="utf-8", newline="\n")
    os.replace(part, path)


def main() -> None:
    """Write all tables with the columns of the dictionary that any row uses, in the dictionary's order."""
    OUT.mkdir(exist_ok=True)
    tables: dict[str, list[Row]] = {}
    prices: dict[str, tuple[float, bool]] = {}
    for name, make in (("boards", boards), ("cpus", cpus), ("memory", memory)):
        tables[name], found = make()
        prices |= found
    more, found = small_tables()
    tables |= more
    prices |= found
    seller_keys = (
        "id",
        "name",
        "delivery",
        "free_from",
        "minimum_order",
        "delivery_days",
        "returns_days",
        "kind",
    )
    tables["sellers"] = [dict(zip(seller_keys, seller, strict=True)) for seller in SELLERS]
    tables["offers"] = offers(prices, {str(row["id"]) for row in tables["boards"]})
    bundle_keys = ("id", "name", "kind", "items", "seller", "price", "stock", "condition")
    tables["bundles"] = []
    for *cells, extra in BUNDLES:
        bundle: Row = {"source": "invented"} | dict(zip(bundle_keys, cells, strict=True))
        bundle |= extra
        tables["bundles"].append(bundle)
    with (HERE / "columns.csv").open(encoding="utf-8", newline="") as file:
        described = [(row["table"], row["column"]) for row in csv.DictReader(file)]
    for name, stated in STATED.items():
        tables[name] = [stated | row for row in tables[name]]
    stated_by_sellers(tables)
    for name, rows in tables.items():
        used = {key for row in rows for key in row}
        unknown = used - {column for table, column in described if table == name}
        if unknown:
            raise SystemExit(f"{name}: not in columns.csv: {', '.join(sorted(unknown))}")
        write(name, [column for table, column in described if table == name and column in used], rows)
    _replace(OUT / "catalog.toml", CATALOG_TOML)


if __name__ == "__main__":
    main()

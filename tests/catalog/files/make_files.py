"""Writes the invented price list, shop pages, makers' pages and sheets beside this file: `python
make_files.py`.

All makers, models, sellers and prices are invented; GTINs are of the prefix 952, which GS1 keeps for
examples.
"""

from __future__ import annotations

import html
import json
import sys
import zipfile
from pathlib import Path

from stdnum import ean

HERE = Path(__file__).parent
Row = list[str | int | float | None]


def gtin(number: int) -> str:
    body = f"952{number:09d}"
    return body + ean.calc_check_digit(body)


# -- the price list: 300 rows ---------------------------------------------------------------------------------------

BOARD_FORMS = [("M", "Micro-ATX"), ("", "ATX"), ("M", "mATX"), ("I", "Mini-ITX")]
CHIPSETS = [
    ("B450", "Sockel AM4", "DDR4"),
    ("A520", "AM4", "DDR4"),
    ("B550", "Sockel AM4", "DDR4"),
    ("H610", "LGA1700", "DDR4"),
    ("B660", "So.1700", "DDR4"),
    ("B650", "Sockel AM5", "DDR5"),
    ("B760", "LGA 1700", "DDR5"),
]
MAKERS = ["Tollmere", "Kestevan", "Virdano", "Brunnach", "Ambrosch"]
CPU_LINES = [
    ("Ostrelle Weald V", "Sockel AM4", 3100),
    ("Halvorn Stile Q", "LGA1700", 2500),
    ("Ostrelle Weald W", "Sockel AM5", 3800),
]
MEMORY_MAKERS = ["Lumbrick", "Cadmora", "Petrigan"]
NOT_FOR_THIS = [
    "SATA-Kabel 50 cm gewinkelt",
    "Adapterkabel SATA-Strom auf 2x SATA",
    "Wärmeleitpaste 4 g",
    "Gehäuselüfter 120mm PWM",
    "Notebook Tollmere Slate 14, 8 GB RAM, 256 GB SSD",
    "Office-PC Halvorn Stile Q4, 8GB RAM, 256GB SSD",
    "Falkner GX-460 Grafikkarte 4GB GDDR5",
    "Einbau Mainboard, Pauschale",
    "Netzwerkkarte PCIe 2,5 Gb/s",
    "Tastatur deutsch, schwarz",
    "Montagesatz für CPU-Kühler AM4",
    "Maus optisch, USB",
    "Bildschirm 24 Zoll, gebraucht",
    "Lizenz Bürosoftware 1 Platz",
    "Slotblende 2-fach seriell",
    "Staubfilter magnetisch 120 mm",
    "Antistatik-Armband, Kabel 1,8 m",
    "Speicherkarte 64 GB",
]
UNCLEAR = ["Tollmere R60 schwarz", "Kestevan 1700", "Virdano Pro 760", "Halvorn 3600 neu"]


def list_rows() -> list[Row]:
    rows: list[Row] = []
    number = 1000

    def add(
        maker: str | None, mpn: str | None, name: str, price: float, stock: str | int, delivery: str = ""
    ) -> None:
        nonlocal number
        number += 1
        rows.append([f"HT-{number}", gtin(number), maker, mpn, name, round(price, 2), stock, delivery])

    rows.append(["Mainboards"])
    for index in range(70):
        chipset, socket, memory = CHIPSETS[index % 7]
        letter, form = BOARD_FORMS[(index // 7) % 4]
        maker = MAKERS[index % 5]
        model = f"{chipset}{letter}-{index + 10}"
        name = f"{maker} {model}, {socket}, {form}, {memory}, Mainboard"
        add(maker, f"{maker[:2].upper()}-{model}", name, 38.5 + 1.7 * index % 61, (index * 3) % 17, "")
    rows.append(["Prozessoren"])
    for index in range(70):
        line, socket, clock = CPU_LINES[index % 3]
        cores = (4, 6, 8)[index % 3] if index % 2 else 4
        base = (clock + 100 * (index // 6)) / 1000
        name = f"{line}{cores}-{index + 20} {cores}x {base:.2f} GHz {socket} {(65, 58, 105)[index % 3]}W"
        name += " boxed inkl. Kühler" if index % 4 == 1 else " tray"
        add(
            line.split()[0],
            f"PR{index + 20}X{cores}",
            name,
            39.0 + 2.3 * index,
            ">10" if index % 5 else "auf Bestellung",
        )
    rows.append(["Arbeitsspeicher"])
    for index in range(90):
        maker = MEMORY_MAKERS[index % 3]
        size = (4, 8, 16)[(index // 3) % 3]
        count = 1 + index % 2
        generation, rate = ((4, 3200), (4, 2666), (5, 5200))[(index // 18) % 3]
        name = f"{maker} {count * size}GB ({count}x{size}GB) DDR{generation}-{rate} CL{16 + index % 7}"
        add(
            maker,
            f"M{generation}{rate}{index:02d}",
            name,
            9.5 * count * size / 4 + index % 9,
            index % 30,
            "1-3 Werktage",
        )
    rows.append(["Zubehör und Sonstiges"])
    for index in range(54):
        add(None, None, f"{NOT_FOR_THIS[index % 18]}", 2.5 + index, 5)
    for index in range(16):
        add(None, None, f"{UNCLEAR[index % 4]} {index}", 20.0 + index, 1)
    return rows


HEADER: Row = [
    "Artikel-Nr.",
    "EAN",
    "Hersteller",
    "Hersteller-Nr.",
    "Bezeichnung",
    "EK netto EUR",
    "Bestand",
    "Lieferzeit",
]


def sheet_xml(rows: list[Row]) -> str:
    lines = []
    for number, row in enumerate(rows, 1):
        cells = []
        for column, value in enumerate(row):
            place = f"{chr(65 + column)}{number}"
            if value is None or value == "":
                continue
            if isinstance(value, str):
                cells.append(f'<c r="{place}" t="inlineStr"><is><t>{html.escape(value)}</t></is></c>')
            else:
                cells.append(f'<c r="{place}"><v>{value}</v></c>')
        lines.append(f'<row r="{number}">{"".join(cells)}</row>')
    head = '<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    return f"{head}<sheetData>{''.join(lines)}</sheetData></worksheet>"


def workbook(sheets: dict[str, tuple[list[Row], str]]) -> dict[str, str]:
    """The parts of a workbook (ECMA-376, smallest form): name -> (rows, state)."""
    names = list(sheets)
    ns = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
    rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    start = '<?xml version="1.0" encoding="UTF-8"?>'
    listed = "".join(
        f'<sheet name="{html.escape(name)}" sheetId="{n}" state="{sheets[name][1]}" r:id="rId{n}"/>'
        for n, name in enumerate(names, 1)
    )
    links = "".join(
        f'<Relationship Id="rId{n}" Type="{rel}/worksheet" Target="worksheets/sheet{n}.xml"/>'
        for n in range(1, len(names) + 1)
    )
    types = "".join(
        f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="application/vnd.openxmlformats-officedocument.'
        'spreadsheetml.worksheet+xml"/>'
        for n in range(1, len(names) + 1)
    )
    parts = {
        "[Content_Types].xml": f'{start}<Types xmlns="{package}/content-types"><Default Extension="rels" ContentType='
        '"application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/>'
        '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.'
        f'sheet.main+xml"/>{types}</Types>',
        "_rels/.rels": f'{start}<Relationships xmlns="{package}/relationships"><Relationship Id="rId1" Type="{rel}/'
        'officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'{start}<workbook {ns} xmlns:r="{rel}"><sheets>{listed}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'{start}<Relationships xmlns="{package}/relationships">{links}</Relationships>',
    }
    for n, name in enumerate(names, 1):
        parts[f"xl/worksheets/sheet{n}.xml"] = sheet_xml(sheets[name][0])
    return parts


def write_workbook(path: Path, sheets: dict[str, tuple[list[Row], str]]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in workbook(sheets).items():
            package.writestr(zipfile.ZipInfo(name, (2026, 11, 16, 0, 0, 0)), text, zipfile.ZIP_DEFLATED)


# -- ten shop pages -------------------------------------------------------------------------------------------------


def page(title: str, body: str, head: str = "", lang: str = "en") -> str:
    return (
        f'<!DOCTYPE html>\n<html lang="{lang}">\n<head>\n<meta charset="utf-8">\n<title>{html.escape(title)}</title>\n'
        f"{head}\n</head>\n<body>\n<h1>{html.escape(title)}</h1>\n{body}\n</body>\n</html>\n"
    )


def script(text: str, kind: str = "application/ld+json") -> str:
    return f'<script type="{kind}">\n{text}\n</script>'


def product(name: str, number: int, price: object, maker: str, **more: object) -> dict[str, object]:
    offer = {
        "@type": "Offer",
        "price": price,
        "priceCurrency": "EUR",
        "availability": "https://schema.org/InStock",
        "itemCondition": "https://schema.org/NewCondition",
        "seller": {"@type": "Organization", "name": "Lindgate Parts"},
    }
    offer |= more.pop("offer", {})  # type: ignore[arg-type]
    return {
        "@context": "https://schema.org/",
        "@type": "Product",
        "name": name,
        "sku": f"LG{number}",
        "gtin13": gtin(number),
        "brand": {"@type": "Brand", "name": maker},
        "offers": offer,
        **more,
    }


def shop_pages() -> dict[str, str]:
    board = "Tollmere B550M-99 Micro ATX AM4 DDR4 Motherboard"
    cpu = "Ostrelle Weald V6-99 6-Core 3.6 GHz AM4 65W Processor with cooler"
    kit = "Lumbrick 16GB (2x8GB) DDR4-3200 CL22 Memory"
    pages = {}
    properties = [
        {"@type": "PropertyValue", "name": "Form factor", "value": "microATX"},
        {"@type": "PropertyValue", "name": "SATA ports", "value": "4 x SATA 6Gb/s"},
    ]
    one = product(board, 501, "64.90", "Tollmere", mpn="TO-B550M-99", additionalProperty=properties)
    pages["01-board.html"] = page(board, "", script(json.dumps(one, indent=1)))
    graph = {
        "@context": "https://schema.org",
        "@graph": [{"@type": "WebPage", "name": "x"}, product(cpu, 502, 98.5, "Ostrelle", mpn="OV699")],
    }
    pages["02-processor-graph.html"] = page(cpu, "", script(json.dumps(graph)))
    listed = "/* product data */\n" + json.dumps(
        [product(kit, 503, "31.40", "Lumbrick", mpn="M4320099")]
    ).replace("CL22", "CL22\x01")
    pages["03-memory-array-comment.html"] = page(kit, "", script("null") + script(listed))
    broken = (
        json.dumps(product("Cadmora 8GB (1x8GB) DDR4-2666 RAM", 504, "1.099,00", "Cadmora"))[:-1] + ",\n};"
    )
    pages["04-memory-charset.html"] = page(
        "Cadmora 8GB (1x8GB) DDR4-2666 RAM",
        "",
        script(broken.replace("1.099,00", "18,90"), "application/ld+json; charset=utf-8"),
    )
    variants = {
        "@context": "https://schema.org",
        "@type": "ProductGroup",
        "name": "Brisolet Tower cooler",
        "productGroupID": "bt",
        "brand": {"@type": "Brand", "name": "Brisolet"},
        "hasVariant": [
            product("Brisolet Tower CPU cooler AM4, height 120 mm, TDP 95W", 505, "24.90", "Brisolet"),
            product("Brisolet Tower CPU cooler LGA1700, height 120 mm, TDP 95W", 506, "25.90", "Brisolet"),
        ],
    }
    pages["05-cooler-variants.html"] = page("Brisolet Tower cooler", "", script(json.dumps(variants)))
    many = product("Halvorn Stile Q6-98 6-Core 2.5 GHz LGA1700 65W processor", 507, "0", "Halvorn")
    many["offers"] = {
        "@type": "AggregateOffer",
        "lowPrice": "101.00",
        "highPrice": "139.00",
        "offerCount": 9,
        "priceCurrency": "EUR",
    }
    pages["06-price-range.html"] = page("Halvorn Stile Q6-98", "", script(json.dumps(many)))
    pages["07-board-microdata.html"] = page(
        "Kestevan B450M-97 Mainboard Sockel AM4 Micro-ATX DDR4",
        f"""<div itemscope itemtype="http://schema.org/Product"><span itemprop="name">Kestevan B450M-97 Mainboard Sockel AM4 Micro-ATX
DDR4</span><meta itemprop="gtin13" content="{gtin(508)}"><span itemprop="brand">Kestevan</span>
<div itemprop="offers" itemscope itemtype="http://schema.org/Offer"><meta itemprop="priceCurrency" content="EUR">
<span itemprop="price" content="58.00">58,00 &euro;</span><link itemprop="availability" href="http://schema.org/Instock">
<link itemprop="itemCondition" href="http://schema.org/UsedCondition"></div></div>""",
        '<meta property="og:site_name" content="Speicher und Kern">',
        "de",
    )
    pages["08-memory-rdfa.html"] = page(
        "Mémoire Petrigan 8 Go (2 x 4 Go) DDR4 2666 MHz",
        f"""<div vocab="https://schema.org/" typeof="Product"><span property="name">Mémoire Petrigan 8 Go (2 x 4 Go) DDR4 2666 MHz</span>
<span property="gtin13">{gtin(509)}</span><div property="offers" typeof="Offer"><span property="price" content="19.90">19,90 €</span>
<meta property="priceCurrency" content="EUR"><link property="availability" href="https://schema.org/OutOfStock"></div></div>""",
        '<meta property="og:site_name" content="Mémoire du Quai">',
        "fr",
    )
    pages["09-without-data.html"] = page(
        "One moment please", "<p>Checking your browser before you go on.</p>"
    )
    pages["10-bundle.html"] = page(
        "Upgrade kit",
        "",
        script(
            json.dumps(
                product(
                    "Upgrade kit: B550 motherboard, 6-core processor, 16GB DDR4 memory",
                    510,
                    "199.00",
                    "Lindgate",
                )
            )
        ),
    )
    return pages


# -- six makers' pages and two sheets -------------------------------------------------------------------------------


def table(rows: list[tuple[str, str]]) -> str:
    return (
        "<table>"
        + "".join(f"<tr><th>{html.escape(a)}</th><td>{html.escape(b)}</td></tr>" for a, b in rows)
        + "</table>"
    )


def definitions(rows: list[tuple[str, str]]) -> str:
    return "<dl>" + "".join(f"<dt>{html.escape(a)}</dt><dd>{html.escape(b)}</dd>" for a, b in rows) + "</dl>"


BOARD_EN = [
    ("Model", "B550M-99"),
    ("Brand", "Tollmere"),
    ("Part number", "TO-B550M-99"),
    ("CPU socket", "AM4"),
    ("Chipset", "B550"),
    ("Memory", "4 x DDR4 DIMM, max. 128GB, 32GB per slot, 4400(OC)/3600(OC)/3200/2933 MHz, dual channel"),
    ("Expansion slots", "1 x PCIe 4.0 x16, 2 x PCIe 3.0 x1"),
    ("Storage", "4 x SATA 6Gb/s"),
    ("Rear I/O", "1 x HDMI 2.1, 1 x DisplayPort 1.4, 1 x VGA, 4 x USB 3.2 Gen1, 2 x USB 2.0, 1 x PS/2 combo"),
    ("Power connectors", "1 x 24-pin ATX main, 1 x 8-pin ATX 12V"),
    ("Internal headers", "2 x USB 2.0, 1 x USB 3.2 Gen1, 2 x chassis fan, 1 x serial port"),
    ("Form factor", "microATX"),
    ("Dimensions", "24.4 cm x 22.6 cm"),
]
BOARD_DE = [
    ("Modell", "B450M-97"),
    ("Hersteller", "Kestevan"),
    ("Prozessorsockel", "AM4"),
    ("Chipsatz", "B450"),
    ("Arbeitsspeicher", "2 x DDR4 DIMM, max. 64 GB, bis 3200 MHz, Dual-Channel"),
    ("Erweiterungssteckplätze", "1 x PCIe 3.0 x16, 1 x PCIe 2.0 x1"),
    ("SATA-Anschlüsse", "4 x SATA 6 Gb/s"),
    ("Anschlüsse hinten", "1 x VGA, 1 x DVI-D, 4 x USB 3.1, 2 x USB 2.0, 2 x PS/2"),
    ("Stromanschlüsse", "1 x 24-polig, 1 x 4-polig 12 V"),
    ("Interne Anschlüsse", "2 x USB 2.0, 1 x USB 3.1, 1 x Gehäuselüfter, 1 x COM"),
    ("Formfaktor", "Micro-ATX"),
    ("Abmessungen", "226 x 185 mm"),
    ("Beleuchtung", "keine"),
]
CPU_FR = [
    ("Modèle", "Weald V6-99"),
    ("Marque", "Ostrelle"),
    ("Référence", "OV699"),
    ("Nombre de cœurs", "6"),
    ("Nombre de threads", "12"),
    ("Fréquence de base", "3,6 GHz"),
    ("Fréquence turbo", "4,2 GHz"),
    ("Enveloppe thermique", "65 W"),
    ("Socket", "AM4"),
    ("Types de mémoire", "DDR4-3200"),
    ("Canaux mémoire", "2"),
]
MEMORY_ES = [
    ("Modelo", "M4320099"),
    ("Fabricante", "Lumbrick"),
    ("Referencia", "M4320099"),
    ("Tipo", "DDR4 UDIMM, 288 pines"),
    ("Capacidad", "16 GB (2 x 8 GB)"),
    ("Velocidad", "3200 MHz"),
    ("Voltaje", "1,2 V"),
]
PSU_PL = [
    ("Model", "Steady 450"),
    ("Producent", "Maskell"),
    ("Moc", "450 W"),
    ("Format", "ATX"),
    ("Certyfikat", "80 PLUS Bronze"),
    ("+12V", "37,5 A"),
    ("+5V", "18 A"),
    ("+3.3V", "18 A"),
    ("Złącza", "1 x 20+4 pin, 1 x 4+4 pin CPU, 2 x 6+2 pin PCIe, 5 x SATA, 3 x Molex"),
]
COOLER_DE = [
    ("Modell", "Flach 65"),
    ("Hersteller", "Brisolet"),
    ("Kompatible Sockel", "AM4, LGA1700, LGA1200"),
    ("Höhe", "65 mm"),
    ("Kühlleistung", "95 W"),
    ("Gewicht", "410 g"),
]
BOARD_PDF = [
    ("Socket", "LGA1700"),
    ("Chipset", "H610"),
    ("Memory", "2 x DDR4 DIMM, max. 64 GB, 3200 MHz, dual channel"),
    ("Expansion slots", "1 x PCIe 4.0 x16, 1 x PCIe 3.0 x1"),
    ("Storage", "4 x SATA 6Gb/s"),
    ("Rear I/O", "1 x HDMI 1.4, 1 x VGA, 2 x USB 3.2, 4 x USB 2.0"),
    ("Power connectors", "1 x 24-pin, 1 x 8-pin 12V"),
    ("Dimensions", "226 x 200 mm"),
]
CPU_PDF = [
    ("Cores", "6"),
    ("Threads", "12"),
    ("Base frequency", "2.5 GHz"),
    ("Max turbo frequency", "4.4 GHz"),
    ("Processor base power", "65 W"),
    ("Maximum turbo power", "117 W"),
    ("Socket", "LGA1700"),
    ("Memory types", "DDR4-3200, DDR5-4800"),
    ("Memory channels", "2"),
]


def makers_pages() -> dict[str, str]:
    return {
        "tollmere-b550m-99.html": page("B550M-99 specification", table(BOARD_EN)),
        "kestevan-b450m-97.html": page("B450M-97 Technische Daten", definitions(BOARD_DE), lang="de"),
        "ostrelle-v6-99.html": page("Weald V6-99 Spécifications", table(CPU_FR), lang="fr"),
        "lumbrick-m4320099.html": page("Memoria Lumbrick DDR4", table(MEMORY_ES), lang="es"),
        "maskell-steady-450.html": page("Zasilacz Maskell Steady 450", table(PSU_PL), lang="pl"),
        "brisolet-flach-65.html": page("Brisolet Flach 65 CPU-Kühler", definitions(COOLER_DE), lang="de"),
    }


def pdf(lines: list[tuple[int, str]]) -> bytes:
    """A text PDF of one page (ISO 32000-1, smallest form): (horizontal position, text) per line; a
    position of 0 goes on in the line above."""
    shown = []
    y = 800
    for x, text in lines:
        y -= 0 if x == 240 else 18
        escaped = text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
        shown.append(f"BT /F1 10 Tf {x} {y} Td ({escaped}) Tj ET")
    stream = "\n".join(shown).encode("latin-1")
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>",
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(stream), stream),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    out = b"%PDF-1.4\n"
    places = []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    return out + b"trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, start)


def sheet_lines(title: str, rows: list[tuple[str, str]]) -> list[tuple[int, str]]:
    lines = [(40, title), (40, "Specification")]
    for label, value in rows:
        lines += [(40, label), (240, value)]
    return lines


PLATFORMS = """table,by,word,column,value,source
boards,chipset,B450,memory_channels,2,common practice
boards,chipset,B550,memory_channels,2,common practice
boards,chipset,A520,memory_channels,2,common practice
boards,chipset,H610,memory_channels,2,common practice
boards,chipset,B450,cpu_families,weald-v:0,invented
boards,chipset,B550,cpu_families,weald-v:0,invented
boards,chipset,A520,cpu_families,weald-v:0,invented
boards,chipset,H610,cpu_families,stile-q:0,invented
boards,chipset,B660,cpu_families,stile-q:0,invented
boards,form_factor,microatx,width_mm,226..244,microATX Motherboard Interface Specification 1.2 table 3
boards,form_factor,microatx,depth_mm,170..244,microATX Motherboard Interface Specification 1.2 table 3
cpus,name,Ostrelle Weald V*,family,weald-v,invented
cpus,name,Halvorn Stile Q*,family,stile-q,invented
cpus,family,weald-v,memory_rates,ddr4:3200,invented
cpus,family,stile-q,memory_rates,ddr4:3200 ddr5:4800,invented
cpus,family,weald-v,memory_channels,2,invented
cpus,family,stile-q,memory_channels,2,invented
"""


def main(target: Path) -> None:
    above: list[Row] = [
        ["Hafenlager Teile, Händlerpreisliste"],
        ["alle Preise netto zzgl. 19 % MwSt."],
        ["Stand: 16.11.2026"],
        [],
        HEADER,
    ]
    write_workbook(
        target / "pricelist.xlsx",
        {
            "Preise": ([*above, *list_rows()], "visible"),
            "intern": (
                [
                    ["Einkauf geheim"],
                    HEADER,
                    ["x", None, None, None, "Tollmere H610M LGA1700 mATX Mainboard", 1.0, 1, ""],
                ],
                "hidden",
            ),
        },
    )
    for folder, pages in (("pages", shop_pages()), ("makers", makers_pages())):
        (target / folder).mkdir(exist_ok=True)
        for name, text in pages.items():
            (target / folder / name).write_text(text, encoding="utf-8", newline="\n")
    (target / "makers" / "ambrosch-h610m-13.pdf").write_bytes(
        pdf(sheet_lines("Ambrosch H610M-13 Motherboard", BOARD_PDF))
    )
    (target / "makers" / "halvorn-q6-98.pdf").write_bytes(
        pdf(sheet_lines("Halvorn Stile Q6-98 Processor", CPU_PDF))
    )
    (target / "platforms.csv").write_text(PLATFORMS, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)

"""Readers on invented dumps that show the faults of real ones. What is true of each invented PC is written
here by hand."""

from __future__ import annotations

import json

import pytest
from survey.survey_data import PRIVATE, all_dumps, dump, dump_bin, monitor, raw_table

from partsolver.base.errors import InputRefused
from partsolver.survey.facts import Merged
from partsolver.survey.merge import merge
from partsolver.survey.readers import kinds, read_source
from partsolver.survey.readers.units import brand_cores, brand_mhz, memory_mib, size_bytes
from partsolver.survey.write import render


def merged(*names: str, **data: bytes) -> Merged:
    found = []
    for name in names:
        found += read_source(dump(name), name)
    for name, raw in data.items():
        found += read_source(raw, name)
    return merge(found)


def question(result: Merged, path: str) -> tuple[object, str]:
    item = next(q for q in result.questions if q.path == path)
    return item.suggested, " / ".join(item.evidence)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("dmidecode-nx41.txt", "dmidecode"),
        ("dmidecode-nx62.txt", "dmidecode"),
        ("lshw-children.json", "lshw"),
        ("lscpu-comma.txt", "lscpu"),
        ("lscpu-sections.json", "lscpu"),
        ("lsblk-text.json", "lsblk"),
        ("smartctl-sda.json", "smartctl"),
        ("wmi-memory.txt", "wmi"),
        ("wmi-processor.json", "wmi"),
        ("wmi-disks.csv", "wmi"),
        ("cpuinfo.txt", "cpuinfo"),
        ("sysfs.txt", "sysfs"),
        ("raw-table.bin", "smbios"),
        ("monitor.edid", "edid"),
        ("lsblk-table.txt", "lsblk"),
        ("hwinfo-nx41.txt", "hwinfo"),
    ],
)
def test_the_kind_is_found_by_content(name: str, kind: str) -> None:
    assert kinds(all_dumps()[name]) == (kind,)


NX41_MEMORY = [
    {"generation": "ddr2", "module": "dimm", "capacity_mib": 1024, "rate_mts": 667, "count": 2},
    {"generation": "ddr2", "module": "dimm", "capacity_mib": 512, "rate_mts": 667, "count": 1},
]


def test_dmidecode_of_a_ddr2_board() -> None:
    result = merged("dmidecode-nx41.txt")
    board, cpu = result.survey["board"], result.survey["cpu"]
    # code, designation and processor id agree; the first of the two processor records is an empty socket
    assert (board["name"], board["socket"], board["memory_slots"], board["memory_generation"]) == (
        "NX-41",
        "LGA775",
        4,
        "ddr2",
    )
    assert (cpu["name"], cpu["cores"], cpu["threads"], cpu["base_mhz"]) == (
        "Velox(R) Duo CPU V8400 @ 3.00GHz",
        2,
        2,
        3000,
    )
    # the flash chip is a memory device of another array and no module
    assert result.survey["memory"] == [
        {**row, "ecc": False, "registered": False}
        for row in NX41_MEMORY  # such boards take no registered ones
    ]
    assert result.origin["memory[0].capacity_mib"].startswith("dmidecode-nx41.txt:")
    assert question(result, "psu.rated_w")[0] is None and "125 W" in question(result, "psu.rated_w")[1]
    assert question(result, "board.memory_max_mib")[0] == 8192
    assert "5200 MHz" in question(result, "cpu.boost_mhz")[1]
    assert "Mini Tower" in question(result, "case.form_factor")[1]
    assert not {"rated_w"} & result.survey["psu"].keys() and not result.survey["case"]


def test_a_wrong_type_word_gives_way_to_what_the_processor_can_drive() -> None:
    # family 6 model 30 has its own controller for DDR3 only; firmware writes DDR (real: 126 of 309 modules,
    # D-dmi)
    result = merged("dmidecode-nx62.txt")
    assert result.survey["memory"] == [
        {
            "generation": "ddr3",
            "module": "dimm",
            "capacity_mib": 4096,
            "rate_mts": 1066,
            "ecc": False,
            "count": 2,
        }
    ]
    assert result.survey["board"]["socket"] == "LGA1156"  # code Other; designation and processor id agree
    # 4 cores, 1 enabled: not believed alone, but the name says four as well; threads stay open
    assert result.survey["cpu"]["cores"] == 4 and "threads" not in result.survey["cpu"]
    assert question(result, "board.memory_max_mib")[0] is None  # 4 GB, with 8 GB installed
    assert "maker_model" not in result.survey["pc"]  # "System manufacturer" is a stand-in


def test_counts_of_the_kernel_close_a_question_of_the_firmware() -> None:
    result = merged("dmidecode-nx62.txt", "lscpu-sections.json")
    assert result.survey["cpu"]["cores"] == 4 and result.survey["cpu"]["threads"] == 4


def test_invalid_json_with_children_in_their_parents() -> None:
    with pytest.raises(ValueError, match="delimiter"):
        json.loads(dump("lshw-children.json"))
    result = merged("lshw-children.json")
    assert result.survey["memory"] == NX41_MEMORY
    assert result.survey["board"]["memory_slots"] == 4
    assert result.survey["cpu"] == {
        "name": "Velox(R) Duo CPU V8400 @ 3.00GHz",
        "base_mhz": 3000,
        "cores": 2,
        "threads": 2,
        "x86_level": 1,
    }
    assert result.survey["drive"] == [
        {
            "name": "HOLM 250AS",
            "capacity_gb": 250,
            "partition_table": "mbr",
            "system": True,
            "storage_mode": "ahci",
        }
    ]
    assert question(result, "board.socket")[0] == "LGA775"  # a designation alone is no fact


def test_lshw_xml_says_the_same_as_json() -> None:
    xml = b"""<?xml version="1.0"?><list><node id="annas-pc" class="system" handle="DMI:0001"><description>System</description>
    <node id="core" class="bus"><product>NX-41</product><vendor>Torvane</vendor>
    <node id="memory" class="memory" handle="DMI:0008"><description>System Memory</description>
    <node id="bank:0" class="memory" handle="DMI:000A"><description>DIMM DDR2 Synchronous 667 MHz (1.5 ns)</description>
    <slot>DIMM_1</slot><size units="bytes">1073741824</size></node></node></node></node></list>
    """
    result = merged(xml=xml)
    assert result.survey["board"]["name"] == "NX-41"
    assert result.survey["memory"][0]["capacity_mib"] == 1024
    cut = merged(xml=xml[: xml.index(b"1073741824") + 6])  # a number broken off is no number
    assert "memory" not in cut.survey


@pytest.mark.parametrize(
    ("lines", "cores", "threads"),
    [
        # 6 cores of two threads and 4 of one: lscpu shows the most threads of any core (util-linux, from
        # memory): 6 * 2 + 4 = 16
        ("CPU(s): 16\nThread(s) per core: 2\nCore(s) per socket: 10\nSocket(s): 1\n", 10, 16),
        ("CPU(s): 8\nThread(s) per core: 2\nCore(s) per socket: 4\nSocket(s): 1\n", 4, 8),
        ("CPU(s): 16\nThread(s) per core: 2\nCore(s) per socket: 4\nSocket(s): 2\n", 4, 8),
        # half is switched off, cores or second threads: a person tells
        (
            "CPU(s): 4\nOff-line CPU(s) list: 2,3\nThread(s) per core: 1\nCore(s) per socket: 2\nSocket(s): 1\n",
            None,
            None,
        ),
    ],
)
def test_cores_that_lscpu_counts(lines: str, cores: int | None, threads: int | None) -> None:
    result = merged(lscpu=f"Byte Order: Little Endian\n{lines}".encode())
    assert (result.survey["cpu"].get("cores"), result.survey["cpu"].get("threads")) == (cores, threads)


@pytest.mark.parametrize(
    ("family", "model", "cores"),
    [
        # Families and classes by standards/cpu_signatures.csv: 21/2 is built of modules of two cores, which Linux
        # calls cores of two threads (Documentation/x86/topology.rst, from memory); 23/113 has such threads.
        (21, 2, 8),
        (23, 113, 4),
    ],
)
def test_cores_of_modules_are_counted_as_the_maker_does(family: int, model: int, cores: int) -> None:
    ids = f"Vendor ID: AuthenticAMD\nCPU family: {family}\nModel: {model}\nStepping: 0\n"
    counts = "CPU(s): 8\nThread(s) per core: 2\nCore(s) per socket: 4\nSocket(s): 1\n"
    listed = merged(lscpu=f"Byte Order: Little Endian\n{ids}{counts}".encode())
    assert (listed.survey["cpu"]["cores"], listed.survey["cpu"]["threads"]) == (cores, 8)
    windows = {
        **{"Name": "Velox(tm) X4", "Manufacturer": "AuthenticAMD"},
        "Caption": f"AMD64 Family {family} Model {model} Stepping 0",
        **{"NumberOfCores": 4, "NumberOfLogicalProcessors": 8},
    }
    assert merged(wmi=json.dumps([windows]).encode()).survey["cpu"]["cores"] == cores


def test_lscpu_with_decimal_commas() -> None:
    result = merged("lscpu-comma.txt")
    assert result.survey["cpu"] == {
        # family 6 model 23: its number decides socket and class (standards/cpu_signatures.csv)
        **{"socket": "LGA775", "architecture_class": "core2-45nm", "graphics_score": 0},
        "name": "Velox(R) Duo CPU V8400 @ 3.00GHz",
        "maker": "GenuineIntel",
        "base_mhz": 3000,
        "cores": 2,
        "threads": 2,
        "x86_level": 1,  # no popcnt, no sse4.2
        # what systems ask processors of level 1 for (standards/isa.py)
        "features": ["cmpxchg16b", "lahf-sahf", "nx", "pae", "sse3", "sse4.1", "ssse3"],
    }
    # A list that ends before lahf_lm tells of none that is lacking.
    cut = dump("lscpu-comma.txt").replace(b" lahf_lm", b"")
    assert "features" not in merged(lscpu=cut).survey["cpu"]
    assert (
        "3000 MHz" in question(result, "cpu.boost_mhz")[1]
    )  # the kernel's limit may leave out the boost clock


def test_cpuinfo() -> None:
    cpu = merged("cpuinfo.txt").survey["cpu"]
    assert (cpu["cores"], cpu["threads"], cpu["x86_level"]) == (2, 2, 1)
    half = dump("cpuinfo.txt")[: len(dump("cpuinfo.txt")) // 2]  # one block of two
    cpu = merged(cpuinfo=half).survey["cpu"]
    assert cpu["cores"] == 2 and "threads" not in cpu  # the name says two; the blocks are not believed


def test_the_plain_table_of_lsblk_says_what_its_json_says() -> None:
    table, tree = merged("lsblk-table.txt").survey["drive"], merged("lsblk-text.json").survey["drive"]
    # the table of this PC also lists the partition table of the second disk
    assert [{k: v for k, v in row.items() if (k, v) != ("partition_table", "gpt")} for row in table] == tree
    assert tree[0]["system"] is True and tree[0]["encrypted"] is True


def test_a_table_without_transport_says_so() -> None:
    table = "NAME   MAJ:MIN RM   SIZE RO TYPE MOUNTPOINT\nsda      8:0    0 232.9G  0 disk \n"
    result = merged(lsblk=table.encode())
    assert result.survey["drive"] == [{"name": "sda", "capacity_gb": 250}]
    assert any("how a drive is connected" in remark for remark in result.remarks)


def test_columns_with_blanks_in_them() -> None:
    table = (
        "NAME    MODEL                 SIZE TYPE ROTA TRAN MOUNTPOINT\n"
        "sda     Holm 250 AS Plus    238.5G disk    1 sata \n"
        "`-sda1                      238.5G part    1      /\n"
        "nvme0n1 Velox NV 2          476.9G disk    0 nvme \n"
    )
    drives = merged(lsblk=table.encode()).survey["drive"]
    assert [(d["name"], d["capacity_gb"], d.get("system")) for d in drives] == [
        ("Velox NV 2", 512, None),
        ("Holm 250 AS Plus", 256, True),
    ]


def test_hwinfo() -> None:
    result = merged("hwinfo-nx41.txt")
    board, cpu = result.survey["board"], result.survey["cpu"]
    # the number of the processor against the code for socket 478; the type code 13h is DDR2, hwinfo says
    # Other
    assert (board["name"], board["socket"], board["memory_slots"]) == ("NX-41", "LGA775", 4)
    assert (cpu["name"], cpu["base_mhz"], cpu["cores"], cpu["x86_level"]) == (
        "Velox(R) Duo CPU V8400 @ 3.00GHz",
        3000,
        2,
        1,
    )
    assert [
        (m["generation"], m["capacity_mib"], m["rate_mts"], m["count"]) for m in result.survey["memory"]
    ] == [
        ("ddr2", 1024, 667, 2),
        ("ddr2", 512, 667, 1),
    ]
    assert [d["name"] for d in result.survey["drive"]] == ["HOLM 250AS", "ROTA DVD-16"]  # no stick
    assert result.survey["display"] == [
        {"name": "Lumen 22W", "width_px": 1680, "height_px": 1050, "refresh_hz": 60}
    ]
    # a version of two words is not cut
    assert "firmware_shipped" not in board
    assert "NX41 A07" in question(result, "board.firmware_shipped")[1]


def test_what_an_old_windows_calls_a_processor_it_does_not_know() -> None:
    # an unrelated server family; the id tells another (real: Windows of 2001 on a processor of 2008)
    said = {
        "Name": "Velox(R) Regal processor",
        "Manufacturer": "GenuineIntel",
        "Caption": "x86 Family 6 Model 23 Stepping 10",
        "SocketDesignation": "CPU 1",
        "UpgradeMethod": 9,
    }
    result = merged(wmi=json.dumps([said]).encode())
    assert "name" not in result.survey["cpu"] and result.survey["cpu"]["socket"] == "LGA775"
    assert question(result, "cpu.name")[0] == "Velox(R) Regal processor"


@pytest.mark.parametrize(
    ("listed", "sizes", "slots"),
    # boards with two slots list four: more than two are believed where more than half hold a module
    [(4, (2, 2), None), (4, (2, 2, 2), 4), (2, (2,), 2), (4, (2, 2, 2, 2), 4), (8, (8, 8), None)],
)
def test_slots_that_firmware_lists(listed: int, sizes: tuple[int, ...], slots: int | None) -> None:
    devices = "".join(
        f"Handle 0x{0x1100 + n:04X}, DMI type 17, 27 bytes\nMemory Device\n\tArray Handle: 0x1000\n\tSize: "
        + (f"{sizes[n]} GB" if n < len(sizes) else "No Module Installed")
        + "\n\tForm Factor: DIMM\n\tLocator: DIMM\n\tType: DDR3\n\tSpeed: 1333 MT/s\n\n"
        for n in range(listed)
    )
    text = (
        "# dmidecode 3.3\n\nHandle 0x1000, DMI type 16, 15 bytes\nPhysical Memory Array\n\tUse: System Memory\n"
        f"\tNumber Of Devices: {listed}\n\n{devices}Handle 0xFEFF, DMI type 127, 4 bytes\nEnd Of Table\n"
    )
    result = merged(dmi=text.encode())
    assert result.survey["board"].get("memory_slots") == slots
    if slots is None:
        suggested, why = question(result, "board.memory_slots")
        assert suggested == listed and f"{len(sizes)} hold a module" in why


@pytest.mark.parametrize(
    ("kind", "title", "key", "word", "asked"),
    # [DSP0134] 7.18, size FFFFh = unknown, 0 = no module; 7.7.2 (old records; from memory), 7Dh to 7Fh
    [
        (17, "Memory Device", "Size", "Unknown", True),
        (17, "Memory Device", "Size", "No Module Installed", False),
        (6, "Memory Module Information", "Installed Size", "Not Determinable", True),
        (6, "Memory Module Information", "Installed Size", "Disabled", True),
        (6, "Memory Module Information", "Installed Size", "Not Installed", False),
    ],
)
def test_a_slot_of_which_firmware_knows_no_size(
    kind: int, title: str, key: str, word: str, asked: bool
) -> None:
    rows = "".join(
        f"Handle 0x{0x1100 + n:04X}, DMI type {kind}, 12 bytes\n{title}\n\tSocket Designation: A\n"
        f"\tLocator: A\n\t{key}: {size}\n\n"
        for n, size in enumerate(("512 MB", word))
    )
    array = (
        "Handle 0x1000, DMI type 16, 15 bytes\nPhysical Memory Array\n\tUse: System Memory\n"
        "\tNumber Of Devices: 2\n\n"
    )
    result = merged(dmi=f"{array}{rows}Handle 0xFEFF, DMI type 127, 4 bytes\nEnd Of Table\n".encode())
    assert [row["count"] for row in result.survey["memory"]] == [1]
    assert any("perhaps a module" in " ".join(q.evidence) for q in result.questions) == asked
    # with the slots unknown no module is planned into one that may be used (old records never settle them)
    assert ("memory_slots" in result.survey["board"]) == (kind == 17 and not asked)


def test_two_tools_that_list_other_modules_leave_modules_and_slots_open() -> None:
    listed = [
        {"Capacity": 2**30, "DeviceLocator": f"D{i}", "FormFactor": 8, "SMBIOSMemoryType": 24, "Speed": 1333}
        for i in (1, 2)
    ]
    array = {"MemoryDevices": 2, "Use": 3, "MaxCapacity": 8388608}
    banks = {
        "id": "core",
        "class": "bus",
        "children": [
            {
                "id": f"bank:{i}",
                "class": "memory",
                "description": "DIMM DDR3 Synchronous 1333 MHz",
                "slot": f"D{i}",
                "size": 2**30,
            }
            for i in range(3)
        ],
    }
    one = merged(wmi=json.dumps([*listed, array]).encode())
    assert one.survey["board"]["memory_slots"] == 2
    # three banks that hold a module against two: a slot that looks free may be used
    both = merged(wmi=json.dumps([*listed, array]).encode(), lshw=json.dumps(banks).encode())
    assert "memory_slots" not in both.survey["board"]
    # Neither list stands, both are asked whole; what all of them say of the slots holds.
    assert "memory" not in both.survey
    assert question(both, "memory")[1].split(" / ") == [
        "wmi lists 2 x 1024 MiB ddr3 dimm 1333 MT/s (wmi $[0])",
        "lshw lists 3 x 1024 MiB ddr3 dimm 1333 MT/s (lshw $.bank:0)",
    ]
    assert (both.survey["board"]["memory_generation"], both.survey["board"]["memory_module"]) == (
        "ddr3",
        "dimm",
    )
    assert [clash.path for clash in both.clashes] == ["memory"]
    broken = json.dumps([array, *listed])[:-60].encode()
    assert "memory_slots" not in merged(wmi=broken).survey["board"]


@pytest.mark.parametrize(
    ("total", "corrects", "detail", "processor", "ecc"),
    # canned widths: 14 of 69 desktop dumps that say 72 bits (reference/survey-formats.md); presence is proven
    # by a registered module, or where the controller takes nothing else
    [
        (64, "None", "Synchronous", "A9060300", False),
        (72, "Multi-bit ECC", "Synchronous", "A9060300", None),  # some parts of the line: ask
        (72, "None", "Synchronous", "A9060300", None),
        (72, "Multi-bit ECC", "Synchronous", "20106100", None),  # a line without it: canned
        (72, "Multi-bit ECC", "Synchronous Registered (Buffered)", "E4060300", True),
    ],
)
def test_check_bits(total: int, corrects: str, detail: str, processor: str, ecc: bool | None) -> None:
    raw = " ".join(processor[n : n + 2] for n in range(0, 8, 2))
    maker = "AuthenticAMD" if processor.startswith("20") else "GenuineIntel"
    text = (
        "# dmidecode 3.3\n\nHandle 0x0004, DMI type 4, 42 bytes\nProcessor Information\n\tType: Central Processor\n"
        f"\tManufacturer: {maker}\n\tID: {raw} FF FB EB BF\n\tVersion: Velox V1 100\n"
        "\tStatus: Populated, Enabled\n\n"
        "Handle 0x1000, DMI type 16, 15 bytes\nPhysical Memory Array\n\tUse: System Memory\n"
        f"\tError Correction Type: {corrects}\n\tNumber Of Devices: 1\n\n"
        "Handle 0x1100, DMI type 17, 27 bytes\nMemory Device\n\tArray Handle: 0x1000\n"
        f"\tTotal Width: {total} bits\n\tData Width: 64 bits\n\tSize: 4 GB\n\tForm Factor: DIMM\n\tLocator: A\n"
        f"\tType: DDR3\n\tType Detail: {detail}\n\tSpeed: 1333 MT/s\n\n"
        "Handle 0xFEFF, DMI type 127, 4 bytes\nEnd Of Table\n"
    )
    assert merged(dmi=text.encode()).survey["memory"][0].get("ecc") == ecc


def test_a_registered_module_that_the_controller_cannot_run() -> None:
    # canned detail: family 6 model 58 never takes registered modules (9,886 dumps read for the table)
    facts = (
        dump("dmidecode-nx41.txt")
        .decode()
        .replace("Type Detail: Synchronous", "Type Detail: Registered (Buffered)")
    )
    result = merged(dmi=facts.encode())
    assert all(row["registered"] is False for row in result.survey["memory"])


@pytest.mark.parametrize(
    "text",
    # reference/survey-formats.md, section 1.10; drives: public dumps beside the project, and from memory
    [
        '{"blockdevices": [{"name": "sda", "type": "disk", "size": 21474836480, "model": "VMware Virtual S"}]}',
        '{"blockdevices": [{"name": "sda", "type": "disk", "size": 21474836480, "model": "QEMU HARDDISK"}]}',
        '[{"Index": 0, "Model": "VBOX HARDDISK", "InterfaceType": "IDE", "Size": 53686402560}]',
        "/sys/class/dmi/id/sys_vendor:VMware, Inc.\n/sys/class/dmi/id/product_name:VMware7,1\n"
        "/sys/class/dmi/id/board_name:440BX Desktop Reference Platform\n",
    ],
)
def test_parts_of_a_virtual_machine_are_none_of_a_pc(text: str) -> None:
    result = merged(file=text.encode())
    assert not any(result.survey.values()) and "virtual machine" in result.remarks[-1]


def test_drives_of_two_tools() -> None:
    result = merged("lsblk-text.json", "smartctl-sda.json")
    disk, ssd, dvd = result.survey["drive"]
    assert disk == {
        "name": "HOLM 250AS-9YX111",
        "capacity_gb": 250,
        "kind": "hdd35",
        "interface": "sata",
        "sata_gbps10": 30,
        "partition_table": "mbr",
        "system": True,
        "encrypted": True,
    }
    assert ssd == {"name": "HOLM 2TS", "kind": "ssd"}  # "1.8T" leaves tens of GB open; M.2 looks like SATA
    assert dvd == {"name": "ROTA DVD-16", "kind": "optical", "interface": "sata"}
    assert "link runs at 1.5 Gb/s" in question(result, "board.sata_3g_ports")[1]
    assert any("USB" in remark for remark in result.remarks)


@pytest.mark.parametrize(
    "text",
    # stand-ins of firmware makers' templates (common practice; from memory)
    [
        *(
            "Base Board Product Name",
            "Type2 - Board Product Name1",
            "Type2 - Board Vendor Name1",
            "Product Name",
        ),
        *(
            "To be filled",
            "SYSTEM_PRODUCT_NAME",
            "$(DEFAULT_STRING)",
            "Default",
            "OEM Product",
            "Motherboard",
        ),
        *("None Provided", "(none)", "Unknow", "Bad Index", "TBD", "System manufacturer", "Default string"),
    ],
)
def test_a_stand_in_names_no_board(text: str) -> None:
    lines = "".join(
        f"/sys/class/dmi/id/{key}:{text}\n"
        for key in ("board_name", "board_vendor", "sys_vendor", "product_name")
    )
    result = merged(file=lines.encode())
    assert not any(result.survey.values())


@pytest.mark.parametrize("text", ["Product 5", "Default 12", "Mainboard X1", "Base Board B75", "NX-Product"])
def test_a_name_with_a_word_of_a_stand_in_stays(text: str) -> None:
    assert merged(file=f"/sys/class/dmi/id/board_name:{text}\n".encode()).survey["board"] == {"name": text}


@pytest.mark.parametrize(("controller", "mode"), [("SATA controller", "ahci"), ("RAID bus controller", None)])
def test_the_driver_ahci_with_a_controller_that_is_set_to_raid(controller: str, mode: str | None) -> None:
    # Linux binds ahci to some makers' controllers in RAID mode too (drivers/ata/ahci.c, table of PCI ids, from
    # memory); they keep the class of a RAID controller (PCI Code and ID Assignment, class 0104h)
    tree = {
        "id": "storage",
        "class": "storage",
        "description": controller,
        "configuration": {"driver": "ahci"},
        "children": [{"id": "disk", "class": "disk", "logicalname": "/dev/sda", "size": 250059350016}],
    }
    text = dump("hwinfo-nx41.txt").decode()
    text = text.replace('Driver: "ahci", "sd"', f'Driver: "ahci", "sd"\n  Attached to: #26 ({controller})')
    for file in (json.dumps(tree), text):
        drive = next(
            row for row in merged(file=file.encode()).survey["drive"] if row.get("capacity_gb") == 250
        )
        assert drive.get("storage_mode") == mode


USB_DISK = {
    "smartctl": {"version": [7, 3]},
    "device": {"name": "/dev/sdb", "info_name": "/dev/sdb [SAT]", "type": "sat", "protocol": "ATA"},
    "model_name": "HOLM 1000P",
    "user_capacity": {"bytes": 1000204886016},
    "rotation_rate": 5400,
    "form_factor": {"name": "2.5 inches"},
    "sata_version": {"string": "SATA 3.0"},
}


@pytest.mark.parametrize(
    "seen",
    [
        {"blockdevices": [{"name": "sdb", "type": "disk", "size": 1000204886016, "tran": "usb"}]},
        {
            "id": "usb",
            "class": "bus",
            "businfo": "usb@2:1",
            "children": [{"id": "disk", "class": "disk", "logicalname": "/dev/sdb", "size": 1000204886016}],
        },
    ],
    ids=["lsblk", "lshw"],
)
def test_a_usb_drive_whose_bridge_passes_sata_commands(seen: dict[str, object]) -> None:
    # smartctl shows the disk behind such a bridge as it shows a built-in one, type "sat" (from memory):
    # only another tool sees the USB port
    alone = merged(smart=json.dumps(USB_DISK).encode())
    assert [drive["name"] for drive in alone.survey["drive"]] == ["HOLM 1000P"]
    both = merged(smart=json.dumps(USB_DISK).encode(), seen=json.dumps(seen).encode())
    assert "drive" not in both.survey


@pytest.mark.parametrize("transport", ["iscsi", "fc", "fcoe"])
def test_a_drive_over_a_network_is_none_of_the_pc(transport: str) -> None:
    # words of lsblk's column TRAN (util-linux, misc-utils/lsblk.c, from memory)
    row = {"name": "sdb", "type": "disk", "size": 10**12, "rota": True, "rm": False, "tran": transport}
    result = merged(file=json.dumps({"blockdevices": [row]}).encode())
    assert "drive" not in result.survey and "network" in result.remarks[0]


@pytest.mark.parametrize(
    "row",
    [
        # Win32_DiskDrive, MediaType "External hard disk media" (MicrosoftDocs/win32, win32-diskdrive.md)
        {"InterfaceType": "SCSI", "MediaType": "External hard disk media", "Model": "HOLM Box"},
        # an image and a pool that Windows shows as disks: names from memory
        {"InterfaceType": "SCSI", "MediaType": "Fixed hard disk media", "Model": "Microsoft Virtual Disk"},
        {"InterfaceType": "SCSI", "MediaType": "", "Model": "Microsoft Storage Space Device"},
        # MSFT_PhysicalDisk, BusType by code (msft-physicaldisk.md) and by PowerShell's word (from memory)
        {"FriendlyName": "SDXC Card", "BusType": 12, "MediaType": 0},
        {"FriendlyName": "Net 1", "BusType": "iSCSI", "MediaType": "Unspecified"},
        {"FriendlyName": "Image", "BusType": "File Backed Virtual", "MediaType": "SSD"},
    ],
)
def test_disks_of_windows_that_are_not_built_in(row: dict[str, object]) -> None:
    facts = read_source(json.dumps([{"Index": 1, "DeviceId": "1", "Size": 10**12, **row}]).encode(), "disks")
    # another class calls the same disk an ordinary one
    other = [{"Index": 1, "Model": "HOLM Box", "InterfaceType": "SCSI", "Size": 10**12}]
    assert "drive" not in merge(facts + read_source(json.dumps(other).encode(), "more")).survey


def behind(number: int, device: str) -> dict[str, object]:
    """One of the disks that smartctl reads behind a controller of several (device types: smartmontools, man
    page, from memory)."""
    return {**USB_DISK, "device": {"name": device, "type": f"sat+megaraid,{number}", "protocol": "ATA"}}


VOLUME = {"name": "sda", "type": "disk", "size": 10**12, "rota": True, "rm": False, "model": "LOGICAL VOLUME"}
ROOT = {"name": "sda1", "type": "part", "mountpoint": "/"}


@pytest.mark.parametrize("device", ["/dev/sda", "/dev/bus/0"])
def test_disks_behind_one_controller_are_drives_of_their_own(device: str) -> None:
    reports = {f"disk{n}": json.dumps(behind(n, device)).encode() for n in (0, 1)}
    alone = merged(**reports)
    listed = json.dumps({"blockdevices": [{**VOLUME, "children": [ROOT]}]}).encode()
    both = merged(**reports, lsblk=listed)
    for result in (alone, both):
        # two disks of 1 TB, not one of contradicting names, and not their set beside them
        assert [row["name"] for row in result.survey["drive"]] == ["HOLM 1000P", "HOLM 1000P 2"]
        assert [row["capacity_gb"] for row in result.survey["drive"]] == [1000, 1000]
        assert not any("system" in row for row in result.survey["drive"])
        for index in (0, 1):
            assert f"disk {index} behind the controller" in question(result, f"drive[{index}].raid")[1]
    assert "mounted as /" in question(both, "drive[1].system")[1]
    render(both, ["both"])


@pytest.mark.parametrize(
    "listed",
    # how controllers call their sets: from memory
    [
        {"blockdevices": [VOLUME]},
        {"blockdevices": [{**VOLUME, "model": "ARRAY_5"}]},
        [{"Index": 0, "Model": "Intel Raid 1 Volume", "InterfaceType": "SCSI", "Size": 10**12}],
        [{"DeviceId": "0", "FriendlyName": "MegaRAID VD", "BusType": 8, "MediaType": 4, "Size": 10**12}],
    ],
)
def test_a_set_of_drives_is_no_drive(listed: object) -> None:
    result = merged(file=json.dumps(listed).encode())
    (row,) = result.survey["drive"]
    assert row["name"].endswith("(a set of drives)") and set(row) == {"name"}
    assert "enter each of them" in question(result, "drive[0].raid")[1]
    assert "enter each of them" in result.remarks[-1]
    assert question(result, "drive[0].capacity_gb")[0] is None


def test_what_a_controller_set_to_raid_shows_is_asked() -> None:
    # BusType 8 is RAID (msft-physicaldisk.md): Windows says so of single disks as well (from memory)
    rows = [
        {"DeviceId": "0", "FriendlyName": "HOLM 500E", "BusType": 8, "MediaType": 3, "Size": 10**12},
        {"Index": 0, "Model": "HOLM 500E", "InterfaceType": "SCSI", "Size": 10**12},
    ]
    result = merged(file=json.dumps(rows).encode())
    assert result.survey["drive"] == [{"name": "HOLM 500E"}]
    assert "a set of several" in question(result, "drive[0].raid")[1]


def test_the_drives_of_a_pool_are_asked() -> None:
    # a Windows that lists the pool hides its drives in that class (from memory)
    row = {"Index": 1, "Model": "Microsoft Storage Space Device", "InterfaceType": "SCSI", "Size": 10**12}
    result = merged(file=json.dumps([row]).encode())
    assert "drive" not in result.survey
    assert "pool of several drives" in question(result, "drive")[1]


def test_windows_in_four_forms() -> None:
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "utf-16-le"):
        raw = dump("wmi-memory.txt").decode().replace("\n", "\r\n").encode(encoding)
        result = merged(memory=raw)
        # MemoryType 0: this Windows does not know the generation (Microsoft KB 922813)
        assert result.survey["memory"] == [
            {"module": "dimm", "capacity_mib": 2048, "ecc": False, "count": 2}
        ], encoding
    both = merged("wmi-memory.txt", "wmi-processor.json")
    assert both.survey["memory"][0]["generation"] == "ddr3"  # now the processor tells
    assert both.survey["memory"][0]["rate_mts"] == 1600
    assert both.survey["board"]["socket"] == "LGA1156"
    disks = merged("wmi-disks.csv").survey["drive"]
    assert [(d["name"], d.get("kind"), d["capacity_gb"]) for d in disks] == [
        ("HOLM 240S", "ssd", 240),
        ("HOLM 250AS", None, 250),
    ]
    two = json.dumps(
        [
            {"Capacity": 2**30, "DeviceLocator": f"D{i}", "FormFactor": 8, "SMBIOSMemoryType": 24}
            for i in (1, 2)
        ]
    )
    assert merged(memory=two.encode()).survey["memory"][0]["count"] == 2


def test_utf16_that_was_taken_for_latin1() -> None:
    twice = dump("wmi-memory.txt").decode().encode("utf-16").decode("latin-1").encode("utf-8")
    assert merged(memory=twice).survey["memory"][0]["capacity_mib"] == 2048


def test_raw_tables_in_every_wrapping() -> None:
    table = raw_table()
    windows = bytes([0, 2, 7, 0]) + len(table).to_bytes(4, "little") + table
    for raw in (table, dump_bin(table), windows):
        result = merged(table=raw)
        assert result.survey["board"]["name"] == "NX-83" and result.survey["board"]["tpm"] == "2.0"
        assert result.survey["cpu"]["socket"] == "LGA1155" and result.survey["cpu"]["threads"] == 8
        assert [(m["capacity_mib"], m["count"]) for m in result.survey["memory"]] == [(4096, 2), (16384, 1)]
        assert question(result, "board.firmware_modes")[0] == ["uefi", "legacy"]


def test_a_monitor() -> None:
    result = merged(edid=monitor())
    assert result.survey["display"] == [
        {"name": "Lumen 22W", "width_px": 1680, "height_px": 1050, "refresh_hz": 60}
    ]
    assert question(result, "display[0].inputs")[0] == ["hdmi"]
    # Read over VGA, the same block says that the monitor takes reduced blanking there (160 pixels between two lines:
    # VESA CVT 1.1, from memory).
    by_vga = merged(edid=monitor(digital=False))
    assert by_vga.survey["display"] == [{**result.survey["display"][0], "reduced_blanking": True}]
    assert question(by_vga, "display[0].inputs")[0] == ["vga"]


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("Velox(R) Core(TM) v5-2500 CPU @ 3.30GHz", "Velox Core v5 2500", True),
        ("Velox 5 3600", "Velox 5 3600 6-Core Processor", True),
        ("Velox Pentil(R) 4 CPU 3.00GHz", "Velox(R) Pentil(R) 4 CPU", True),
        ("Velox(R) Core(TM) v5-2500 CPU @ 3.30GHz", "Velox(R) Core(TM) v5-2500K CPU @ 3.30GHz", False),
        ("Velox 5 3600", "Velox 5 3600X 6-Core Processor", False),
        ("Velox(R) CPU E3-1230 @ 3.20GHz", "Velox(R) CPU E3-1230 V2 @ 3.30GHz", False),
    ],
)
def test_processors_of_one_beginning(one: str, other: str, alike: bool) -> None:
    # a letter or a "v2" behind the number is another model (common practice): the file of another PC
    for pair in ((one, other), (other, one)):
        facts = [
            source
            for name in pair
            for source in read_source(f"vendor_id: V\nprocessor\t: 0\nmodel name\t: {name}\n".encode(), name)
        ]
        assert ("cpu.name" not in {clash.path for clash in merge(facts).clashes}) == alike


@pytest.mark.parametrize("maker", ["", "LUM "])
def test_one_monitor_in_two_files(maker: str) -> None:
    # hwinfo sets the maker before the name of the monitor's own data (public dump beside the project)
    text = dump("hwinfo-nx41.txt").decode().replace('"Lumen 22W"', f'"{maker}Lumen 22W"')
    one = merged(hwinfo=text.encode(), edid=monitor())
    assert [row["name"] for row in one.survey["display"]] == ["Lumen 22W"]
    other = merged(hwinfo=text.replace("22W", "24W").encode(), edid=monitor())
    assert len(other.survey["display"]) == 2


@pytest.mark.parametrize(
    ("raw", "word"),
    [
        (b"", "empty"),
        (b"hello world\n", "no kind"),
        (b"# dmidecode 3.3\nScanning /dev/mem for entry point.\n", "root"),
        (b"NAME MAJ:MIN RM SIZE RO TYPE MOUNTPOINT\nsda 8:0 0 232G 0 disk\n", "lsblk -J"),
        (bytes(range(256)) * 20, "no kind"),
        (b"{" * 5000, "broken off"),
        (b"[" * 100000, "broken off"),
        (b'{"blockdevices"', "broken off"),
    ],
)
def test_refusals_say_what_to_do(raw: bytes, word: str) -> None:
    with pytest.raises(InputRefused, match=word) as caught:
        read_source(raw, "x.txt")
    assert caught.value.faults[0].where == "x.txt"


def test_virtual_machines_give_no_facts() -> None:
    text = dump("dmidecode-nx41.txt").replace(
        b"BIOS boot specification is supported", b"System is a virtual machine"
    )
    result = merged(vm=text)
    assert not any(result.survey.values()) and "virtual machine" in result.remarks[0]


def test_two_pcs_are_noticed() -> None:
    result = merged("dmidecode-nx41.txt", "dmidecode-nx62.txt")
    assert {clash.path for clash in result.clashes} == {"board.name", "cpu.name", "memory"}
    assert "name" not in result.survey["board"]


def test_the_order_of_files_does_not_matter() -> None:
    names = [
        name for name in all_dumps() if "nx62" not in name and not name.startswith(("wmi", "raw", "lscpu-s"))
    ]
    facts = {name: read_source(all_dumps()[name], name) for name in names}
    one = render(merge([f for name in names for f in facts[name]]))
    other = render(merge([f for name in reversed(names) for f in facts[name]]))
    assert one == other


def test_nothing_private_reaches_an_output() -> None:
    for name, raw in all_dumps().items():
        result = merge(read_source(raw, name))
        shown = (render(result, [name]) + repr(result)).lower()
        assert not [word for word in PRIVATE if word.lower() in shown], name
    # a serial number that firmware repeats in another field is dropped with the fact
    text = dump("dmidecode-nx41.txt").replace(b"Product Name: NX-41", b"Product Name: NX-41 TVN7X20931")
    assert "TVN7X20931" not in repr(merged(dmi=text))


@pytest.mark.parametrize(
    ("text", "mib"),
    [
        ("2048 MB", 2048),
        ("2 GB", 2048),
        ("4096 kB", 4),
        ("512 kB", None),
        ("No Module Installed", None),
        ("0 TB", None),
        ("20", None),
    ],
)
def test_memory_sizes(text: str, mib: int | None) -> None:
    assert memory_mib(text) == mib


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("232.9G", (250074470810, False)),
        ("232,9G", (250074470810, False)),
        ("250059350016", (250059350016, True)),
        ("1.8", None),
    ],
)
def test_block_sizes(text: str, size: tuple[int, bool] | None) -> None:
    # 232.9 x 1024^3 = 250 074 470 809.6
    assert size_bytes(text) == size


@pytest.mark.parametrize(
    ("brand", "mhz"),
    [
        ("V8400  @ 3.00GHz", 3000),
        ("V4 CPU 2.53GHz", 2530),
        ("V4 2533 MHz", 2533),
        ("Velox Eight-Core Processor V90", None),
        ("3,20GHz", 3200),
    ],
)
def test_clock_in_the_brand(brand: str, mhz: int | None) -> None:
    assert brand_mhz(brand) == mhz


@pytest.mark.parametrize(
    ("brand", "cores"),
    [
        ("Velox Dual Core Processor V54", 2),
        ("Velox Eight-Core Processor V90", 8),
        ("Velox(R) Quad CPU V750 @ 2.67GHz", 4),
        ("Velox(R) Duo CPU V8400", 2),
        ("Velox 9 V3900 12-Core Processor", 12),
        ("Velox II X4 635 Processor", 4),
        ("Velox A6 Graphics, 8 Compute Cores 2C+6G", 2),
        ("Velox X2 Quad Core Processor", None),  # two things
        ("Velox X1950", None),
        ("Dual Corevian", None),
        ("quad-core", 4),
    ],
)
def test_cores_that_the_brand_spells_out(brand: str, cores: int | None) -> None:
    assert brand_cores(brand) == cores


@pytest.mark.parametrize(
    ("count", "cores"),
    [
        ("", 2),
        ("Core Count: 2\n\tCore Enabled: 1\n", 2),
        ("Core Count: 4\n\tCore Enabled: 1\n", None),
        ("Core Count: 4\n\tThread Count: 4\n", 4),
    ],
)
def test_a_name_tells_cores_only_where_nothing_counts_against_it(count: str, cores: int | None) -> None:
    text = (
        "# dmidecode 3.2\nHandle 0x0004, DMI type 4, 42 bytes\nProcessor Information\n\tStatus: Populated,"
        " Enabled\n\tVersion: Velox Dual Core V54\n\t" + count
    )
    assert merge(read_source(text.encode(), "x.txt")).survey["cpu"].get("cores") == cores

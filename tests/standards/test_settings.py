"""Settings: names, defaults and refusals.

Values: reference figures of the trade named in each row's source.
"""

import pytest

from partsolver.standards import settings
from partsolver.standards.settings import BASES, SETTINGS, Setting, apply, defaults, value_of

# Derived independently: contacts x A (Intel 336521 section 2.2.1: 6 A guideline; handbook p. 925: 8 A),
# labels of capacitor age bands (common practice), disk product manuals (2.8 A start).
EXPECTED = {
    "cpu_plug_4pin_ma": 2 * 6000,
    "cpu_plug_4pin_hard_ma": 2 * 8000,
    "cpu_plug_8pin_ma": 4 * 6000,
    "cpu_plug_8pin_hard_ma": 4 * 7000,
    "cpu_plug_from_peripheral_ma": 9000,
    "main_20pin_12v_ma": 6000,
    "main_24pin_12v_ma": 2 * 6000,
    "vrm_efficiency_percent": 85,
    "vrm_typical_percent": 90,
    "psu_trust_upto5_percent": 85,
    "psu_trust_upto8_percent": 80,
    "psu_trust_upto12_percent": 75,
    "psu_trust_older_percent": 65,
    "psu_12v_share_percent": 88,
    "psu_12v_share_early_percent": 60,
    "psu_low_share_percent": 45,
    "standby_later_ma": 2000,
    "hdd35_12v_ma": 750,
    "cpu_supply_mv": 11400,
    "hdd35_start_12v_ma": 2800,
    "hdd25_start_5v_ma": 1000,
    "nvme3_mw": 8000,
    "nvme4_mw": 10000,
    "nvme5_mw": 14000,
    "case_fan_12v_ma": 150,
    "usb2_port_mw": 2500,
    "usb3_port_mw": 4500,
    "minimum_supported_holes": 4,
    "storage_protocol_percent": 92,
}


def test_defaults_are_the_reference_values():
    values = defaults()
    assert {name: values[name] for name in EXPECTED} == EXPECTED
    values["hdd35_12v_ma"] = 0
    assert defaults()["hdd35_12v_ma"] == 750  # a new dict each time


def test_every_setting_is_sourced_sorted_and_inside_its_range():
    assert list(SETTINGS) == sorted(SETTINGS)
    names = [
        row[0]
        for row in (
            settings._POWER
            + settings._BOARDS
            + settings._DRIVES
            + settings._MASSES
            + settings._MEASURE
            + settings._OTHER
            + settings._SPEED
            + settings._PLANNING
        )
    ]
    assert len(SETTINGS) == len(names)  # no name twice
    for name, setting in SETTINGS.items():
        assert isinstance(setting, Setting) and setting.name == name
        assert setting.low <= setting.value <= setting.high
        assert setting.basis in BASES and setting.source and setting.meaning and setting.unit
        suffix = {
            "mA": "_ma",
            "mW": "_mw",
            "%": "_percent",
            "kHz": "_khz",
            "MiB": "_mib",
            "mV": "_mv",
            "mm": "_mm",
        }
        if setting.unit in suffix:
            assert name.endswith(suffix[setting.unit]), name


def test_apply_overrides_only_what_is_named():
    changed = apply({"hdd35_12v_ma": 600})
    assert changed["hdd35_12v_ma"] == 600
    assert {k: v for k, v in changed.items() if k != "hdd35_12v_ma"} == {
        k: v for k, v in defaults().items() if k != "hdd35_12v_ma"
    }
    assert value_of("hdd35_12v_ma", changed) == 600
    assert value_of("hdd35_12v_ma", {}) == value_of("hdd35_12v_ma") == 750


@pytest.mark.parametrize(
    ("overrides", "words"),
    [
        ({"hdd35_12V_ma": 800}, ["hdd35_12V_ma", "hdd35_12v_ma"]),
        ({"vrm_typical": 80}, ["vrm_typical", "vrm_typical_percent"]),
        ({"zzzz": 1}, ["zzzz", "known settings"]),
        ({"vrm_typical_percent": 101}, ["101", "50 to 100", "%"]),
        ({"vrm_typical_percent": 49}, ["49", "50 to 100"]),
        ({"vrm_typical_percent": True}, ["True", "whole number"]),
        ({"vrm_typical_percent": 80.5}, ["80.5", "whole number"]),
    ],
)
def test_apply_refuses_with_advice(overrides, words):
    with pytest.raises(ValueError) as caught:
        apply(overrides)
    assert all(word in str(caught.value) for word in words)


# Engineering judgement of the planner's own time model and reserves; no standard stands behind these.
@pytest.mark.parametrize(
    ("name", "value", "basis"),
    [
        ("integrated_graphics_bandwidth_percent", 35, "derived"),  # games, two channels: +21 to +55 %
        ("waiting_nvme_percent", 50, "derived"),
        ("waiting_hdd35_percent", 800, "derived"),  # starts on one PC: 5-14
        ("waiting_hdd25_percent", 1100, "derived"),
        ("capacity_cost_ssd_percent", 80, "derived"),
        ("capacity_cost_disk_percent", 300, "judgement"),
        ("graphics_slowness_cap", 3, "judgement"),
        ("graphics_3d_slowness_cap", 30, "judgement"),
        ("score_error_measured_percent", 3, "judgement"),
        ("score_error_published_percent", 5, "judgement"),
        ("score_error_estimated_percent", 20, "judgement"),
        ("memory_error_percent", 5, "judgement"),
        ("parallel_published_error_percent", 6, "judgement"),  # with 5 % of one thread: 8 %
        ("streaming_error_percent", 8, "judgement"),
        ("graphics_error_percent", 20, "judgement"),
        ("unsupported_warn_mm", 50, "judgement"),
        ("cpu_lead_needed_mm", 450, "judgement"),
        ("low_load_year", 2013, "derived"),  # press of 2013: supplies of before mid-2013
        ("fan_header_ma", 1000, "secondary source"),  # 1 A (12 W) common
        ("vga_max_khz", 210_000, "from memory"),
    ],
)
def test_planning_settings(name, value, basis):
    assert (SETTINGS[name].value, SETTINGS[name].basis) == (value, basis)


def test_advice_names_the_nearest_setting_only():
    """cpu_plug_4pin_hard_ma and cpu_plug_8pin_ma are near too."""
    with pytest.raises(ValueError) as caught:
        apply({"cpu_plug_4pin": 12000})
    assert str(caught.value) == (
        "setting 'cpu_plug_4pin': there is no such setting; did you mean 'cpu_plug_4pin_ma'?"
    )


def test_apply_lists_every_problem_at_once():
    with pytest.raises(ValueError) as caught:
        apply({"vrm_typical": 80, "hdd35_12v_ma": -1, "case_fan_12v_ma": "3 W", "nvme3_mw": 9000})
    message = str(caught.value)
    assert all(
        word in message for word in ("vrm_typical_percent", "-1 is outside", "'3 W' is not a whole number")
    )
    assert "nvme3_mw" not in message

"""Words of the steps about the system: its first start, installation, drivers, licence."""

from __future__ import annotations

from partsolver.report.words.steps import StepWords, listed
from partsolver.report.words.system_modes import licence

SYSTEM_STEPS: dict[str, StepWords] = {
    "system.first-start": StepWords(
        "Start the kept system. The first start takes long and may restart by itself while it finds the new"
        " parts.",
        lambda f: (
            "No start device found: compare start mode and SATA mode with your notes. A stop soon after the"
            " start: try its safe mode, then the installation medium's repair."
        ),
    ),
    "system.key": StepWords(
        "If the system asks for a recovery key, enter it; afterwards switch the suspended encryption on"
        " again."
    ),
    "system.install": StepWords(
        lambda f: (
            f"Start the medium you made and install the system afresh onto {f['drive']}; every other drive is"
            " disconnected meanwhile, on USB too, but for the medium's. Then bring the owner's data back from the backup."
        ),
        "What is on the drive is lost: compare its name and size before you confirm.",
    ),
    "system.copy": StepWords(
        lambda f: (
            f"Either, with the mains plug out, connect the old system drive alone beside {f['drive']} (through an"
            " adapter where there is no second place), copy it with a copying tool started from a USB stick,"
            f" and take it out again before the first start from {f['drive']}; or install afresh and bring"
            " the data back from the backup."
        ),
        lambda f: (
            "Copying the wrong way round empties the old drive: compare names and sizes before you confirm."
            + (
                " An encrypted drive is copied sector by sector onto one that is no smaller, or decrypted before in its"
                " own system: a copying tool cannot read what is on it."
                if f["locked"]
                else ""
            )
            + (
                " The first start takes long and may restart by itself while the system finds the new parts."
                if f["board"]
                else ""
            )
        ),
    ),
    "system.drives": StepWords(
        lambda f: (
            "Shut down, switch the supply off, pull the mains plug and wait. Connect the other drives, data"
            f" lead and power (an M.2 module into its socket): {', '.join(f['drives'])}."
        ),
        None,
        "Drives seen by the system",
    ),
    "system.drivers": StepWords(
        lambda f: (
            "Check that network, sound and graphics work; where not, install the missing firmware packages or"
            " a newer kernel."
            if f["linux"]
            else (
                "Install the new board's chipset and network drivers (from the maker's page or the system's"
                " own), then graphics."
            )
        )
    ),
    "system.graphics-driver": StepWords(
        lambda f: (
            f"Check that {f['card']} draws at the monitor's own size; where not, install the firmware packages that"
            " the system names for it, or a newer kernel."
            if f["linux"]
            else (
                ("Remove the old card's driver, then install" if f["old"] else "Install")
                + f" the driver of {f['card']} from its maker's page: one for this system and this card's own"
                " generation."
            )
        ),
        lambda f: (
            None
            if f["linux"]
            else "Until then the picture is coarse or slow: that is no defect. No driver for this system to be"
            " found: send the card back while it can be returned."
        ),
    ),
    "system.network-names": StepWords(
        "Network interfaces may have new names after the swap: adjust configurations that name them."
    ),
    "system.licence": StepWords(licence, "The maker's current terms decide."),
    "system.tied": StepWords(lambda f: f"Register {listed(f['programs'])} again."),
}

"""What one cell of a board's row holds: an expansion slot, an M.2 socket."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Slot:
    """Expansion slot: kind (mechanical: x16 x8 x4 x1 pci agp isa) and wired lanes (0 for pci, agp, isa)."""

    kind: str
    lanes: int


@dataclass(frozen=True, slots=True, order=True)
class M2Socket:
    """M.2 socket: key, longest module, protocols (nvme, sata), PCIe link, SATA ports lost by what is plugged
    in: how many, and their names where the manual's are known (two sockets may take the same ones)."""

    key: str
    longest_mm: int
    protocols: tuple[str, ...]
    pcie_gen: int
    pcie_lanes: int
    sata_lost_nvme: int
    sata_lost_sata: int
    sata_ports_nvme: tuple[str, ...] = ()
    sata_ports_sata: tuple[str, ...] = ()

    def ports_taken(self, interface: str) -> tuple[int, tuple[str, ...]]:
        """(how many SATA ports a module of this interface takes away, their names where known)."""
        if interface == "m2-nvme":
            return self.sata_lost_nvme, self.sata_ports_nvme
        return self.sata_lost_sata, self.sata_ports_sata

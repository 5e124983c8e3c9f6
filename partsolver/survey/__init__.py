"""The survey: the PC as it is, what is kept, and the facts that are not known."""

from partsolver.survey.model import Card, Device, Display, Drive, MemoryModule, OperatingSystem, Pc, Survey

__all__ = ["Card", "Device", "Display", "Drive", "MemoryModule", "OperatingSystem", "Pc", "Survey"]

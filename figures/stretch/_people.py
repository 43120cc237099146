"""The two invented divers of the chapter, and the load that suits each."""

from dataclasses import dataclass

from bandwork.stretch import Diver
from bandwork.units import newton_from_kgf

KEPT_IN_HAND = 0.10


@dataclass(frozen=True)
class Person:
    """An invented diver with a name."""

    name: str
    diver: Diver

    @property
    def wanted(self) -> float:
        """Load to cut for [N]: the capacity less what is kept in hand."""
        return float(self.diver.load_capacity * (1 - KEPT_IN_HAND))


PEOPLE = (
    Person("Marta", Diver(load_capacity=newton_from_kgf(55), reach=0.95)),
    Person("Dario", Diver(load_capacity=newton_from_kgf(38), reach=0.78)),
)

"""The set-up that the whole chapter works with: a 16 mm tube on a 120 cm roller gun."""

from bandwork.handbook import lookup
from bandwork.stretch import Band, Barrel

LENGTH = 1.20
DIAMETER = lookup("band.outer_diameter").value
BORE = lookup("band.bore").value
RELAXED = LENGTH / 2 + lookup("rule.half_barrel_plus").value

ROLLER = Barrel(length=LENGTH)
SMOOTH = Barrel(length=LENGTH, sheave_friction=0)
BAND = Band(DIAMETER, BORE, RELAXED)

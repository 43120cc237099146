"""Bandwork: the physics of rigging a roller speargun, and the classroom of the course about it.

Conventions of the whole library:

- Floats in SI; temperatures in degrees Celsius where a parameter says so. Kilogram-force,
  centimetres and inches appear only in `bandwork.units` and in what a person reads.
- Numbers may be arrays; everything broadcasts as numpy does. One number in, one float out.
- Positions along the gun run from the handle's end of the barrel tube, forward positive.
- What cannot be right raises `InputError` with one sentence: what was given, what is accepted,
  what to do.
- Reference values come from `bandwork.handbook`, each with its source or the words
  "no published source".

A computed number is an estimate from a model, never permission to load a gun.
"""

from bandwork.validation import InputError

__version__ = "0.1.0"
__all__ = ["InputError"]

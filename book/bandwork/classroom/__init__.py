"""The classroom: it builds the book, hands out the exercises, grades them and reports."""

import sys

sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
"""Not to be imported: `jsonschema` would, and build a grammar of web addresses for a second, which
no notebook is checked for."""

"""Sources that several calculators name."""

from __future__ import annotations

from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

DERIVED = Source(Words("algebra and geometry"), Provenance.DERIVED, "H")
BRAUN = Source("Braun S and others, Angle Orthod 1998;68:29-36", Provenance.RECALLED, "H")
NUMERIC = Source(Words("computed separately with general numerical software"), Provenance.DERIVED, "H")
GUM = Source("JCGM 100:2008", Provenance.RECALLED, "H")
HANDBOOK = Source("NIST/SEMATECH e-Handbook of Statistical Methods", Provenance.SEEN, "H")
MATERIAL_FIRST = Words("The material's own instructions go before every default here.")
NO_VERDICT = Words("Inside or outside a configured range is no clinical verdict; the prescriber decides.")
FOR_CLINICIAN = Words("What touches the patient is for a licensed clinician to decide.")

"""Where every equation, constant and limit comes from.

One ``Work`` each. ``SOURCE.at("eq. 7, p. 41")`` makes a citation. A source that was quoted from memory
says so, and so do common practice and our own judgement, which are sources too.
"""

from __future__ import annotations

import enum
import re
from dataclasses import dataclass


class Basis(enum.Enum):
    """What a figure rests on: its letter on screens. The value is what the letter stands for."""

    S = "standard or published work"
    MEMORY = "quoted from memory"
    M = "measured"
    P = "common practice, no source"
    J = "our judgement"
    D = "derived from first principles"

    @property
    def letter(self) -> str:
        return "S?" if self is Basis.MEMORY else self.name


@dataclass(frozen=True)
class Work:
    """A work. ``checked`` is False where the figure is quoted from memory and should be checked before a clause is cited;
    ``measured`` is True where the work is a record of measurements."""

    key: str
    work: str
    checked: bool = False
    measured: bool = False

    def at(self, place: str = "") -> Citation:
        return Citation(self, place)


@dataclass(frozen=True)
class Citation:
    """A place in a work."""

    source: Work
    place: str = ""

    @property
    def basis(self) -> Basis:
        """What the citation rests on; measurements quoted from memory are quoted from memory."""
        if self.source in UNPUBLISHED:
            return UNPUBLISHED[self.source]
        if not self.source.checked:
            return Basis.MEMORY
        return Basis.M if self.source.measured else Basis.S

    def __str__(self) -> str:
        text = f"{self.source.work}, {self.place}" if self.place else self.source.work
        return text if self.source.checked or self.source in UNPUBLISHED else f"{text} (quoted from memory)"


COMMON_PRACTICE = Work("common practice", Basis.P.value)
OUR_JUDGEMENT = Work("our judgement", Basis.J.value)
DERIVED = Work("derived", Basis.D.value)
UNPUBLISHED = {COMMON_PRACTICE: Basis.P, OUR_JUDGEMENT: Basis.J, DERIVED: Basis.D}

_SAID = re.compile(r"(?P<P>common practice)|(?P<J>our judgement)|(?P<MEMORY>from memory)|(?P<M>\bmeasured)")
_PUBLISHED = re.compile(r"\b(ISO|IEC|EN|DIN) \d|Benchmark Simulation Model")


def basis_of(words: str) -> Basis | None:
    """What the origin of a default rests on, by the first thing it says of that; None where it says nothing.

    A published work that is named stands for itself: what is quoted from memory says so.
    """
    if said := _SAID.search(words):
        return Basis[str(said.lastgroup)]
    return Basis.S if _PUBLISHED.search(words) else None


ISO_2533 = Work("ISO 2533", "ISO 2533:1975 Standard Atmosphere")
ISO_8778 = Work("ISO 8778", "ISO 8778:2003 Standard reference atmosphere (20 degC, 100 kPa, 65 % RH)")
ISO_1217 = Work("ISO 1217", "ISO 1217:2009 Displacement compressors, acceptance tests")
DIN_1343 = Work("DIN 1343", "DIN 1343 normal state (273.15 K, 101 325 Pa, dry)", checked=True)
ISO_6358 = Work("ISO 6358-1", "ISO 6358-1:2013 Pneumatic fluid power, flow-rate characteristics", checked=True)
IEC_60534 = Work("IEC 60534-2-1", "IEC 60534-2-1 Industrial-process control valves, sizing equations")
IEC_60034 = Work("IEC 60034-1", "IEC 60034-1 Rotating electrical machines, rating and performance")
ISO_15839 = Work("ISO 15839", "ISO 15839:2003 On-line sensors/analysing equipment for water, clause 3")
NE_107 = Work("NE 107", "NAMUR NE 107 (failure, function check, out of specification, maintenance required)")
ISO_4414 = Work("ISO 4414", "ISO 4414:2010 Pneumatic fluid power, general rules and safety requirements")
ISO_2398 = Work("ISO 2398", "ISO 2398 Rubber hoses for compressed air")
ISO_4397 = Work("ISO 4397", "ISO 4397 Nominal bores of hoses")
MASSEY = Work("Massey", "B. S. Massey, Mechanics of Fluids", checked=True)
WHITE = Work("White", "F. M. White, Fluid Mechanics, 7th ed.")
CENGEL = Work("Cengel & Cimbala", "Y. A. Cengel and J. M. Cimbala, Fluid Mechanics", checked=True)
SHAPIRO = Work("Shapiro", "A. H. Shapiro, The Dynamics and Thermodynamics of Compressible Fluid Flow, vol. 1 (1953)")
WEISBACH = Work(
    "Weisbach",
    "J. Weisbach's tests with air, Encyclopaedia Britannica, 11th ed., Hydraulics, section 63",
    checked=True,
    measured=True,
)
PERRY = Work(
    "Perry", "J. A. Perry, Trans. ASME 71 (1949) 757 (place from memory), as fitted in the manual of an engineering library"
)
BLOW_DOWN = Work(
    "blow-down test", "blow-down of air, validation data of the open-source library HydDown", checked=True, measured=True
)
PIPE_TESTS = Work(
    "pipe tests",
    "B. J. McKeon et al., J. Fluid Mech. 511 (2004) 41; T. E. Stanton and J. R. Pannell, Phil. Trans. R. Soc. A 214 (1914) 199",
    checked=True,
    measured=True,
)
COLEBROOK = Work("Colebrook", "C. F. Colebrook, J. Inst. Civil Engrs 11 (1939) 133")
CHURCHILL = Work("Churchill", "S. W. Churchill, Chem. Eng. 84 (24) (1977) 91")
DARBY = Work("Darby", "R. Darby, Chemical Engineering Fluid Mechanics, 2nd ed. (2001), 3-K method")
US_STD_ATM = Work("US Std Atm", "U.S. Standard Atmosphere 1976")
BENSON_KRAUSE = Work("Benson & Krause", "B. B. Benson and D. Krause, Limnol. Oceanogr. 29 (1984) 620", checked=True)
STANDARD_METHODS = Work("Standard Methods", "Standard Methods for the Examination of Water and Wastewater, 4500-O")
MILLERO = Work("EOS-80", "F. J. Millero and A. Poisson, Deep-Sea Res. 28A (1981) 625 (one-atmosphere equation of state)")
BITTIG = Work(
    "Bittig & Koertzinger", "H. C. Bittig and A. Koertzinger (2017), table of response times", checked=True, measured=True
)
OPTODE_RESPONSE = Work(
    "optode response",
    "record of 'Characterizing the response time of unpumped oxygen optodes for profiling applications' (repository, 2024)",
    checked=True,
    measured=True,
)
ROUGHNESS_TABLES = Work("roughness tables", "published pipe-roughness tables (plastic 1.5-7 um, rubber 6-70 um)", checked=True)

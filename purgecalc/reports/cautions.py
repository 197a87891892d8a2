"""What is said to everyone who works on a purge, on every screen and every paper."""

from __future__ import annotations

DRY_TEST_ALONE = (
    "Aerosols and noise: never blow near a face, nor with the head out of the water. The one exception is the dry test at "
    "commissioning: head tied down, low pressure where a regulator allows it, nobody near, eyes and ears protected."
)
CAUTIONS = (
    "Stored pressure: isolate, lock, vent the hose itself and see its gauge at zero before uncoupling. Air may be trapped.",
    "Electricity near water: isolation, residual-current protection and the right voltage class are for a licensed electrician.",
    "Work over water: guard rail, tether, second person. Bubbly water carries less.",
    DRY_TEST_ALONE,
    "Local codes and licensed practice come before anything printed here. A purge is not a calibration.",
)

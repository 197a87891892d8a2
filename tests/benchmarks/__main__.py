"""All speed figures, one part after the other: steady designs, unsteady blasts, tables and sweeps, whole commands.

python -m tests.benchmarks [rounds]
"""

import sys

from tests.benchmarks import many, start, steady, transient

for part in (steady, transient, many, start):
    sys.stdout.write(f"\n== {part.__name__.rsplit('.', 1)[-1]}: {(part.__doc__ or '').splitlines()[0]}\n")
    sys.stdout.flush()
    part.main()

"""All measurements, each in a process of its own: `make bench`. Ratios of one run; no asserts."""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
NO_MEASUREMENTS = {"__init__", "__main__", "hello"}

for file in sorted(HERE.glob("*.py")):
    if file.stem not in NO_MEASUREMENTS:
        print(f"\n{file.stem}", flush=True)
        subprocess.run([sys.executable, "-m", f"tests.bench.{file.stem}"], check=True)

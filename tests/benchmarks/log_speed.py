"""How fast a log is taken in, and how much memory it needs: 1, 2 and 4 hours at 50 Hz with 12 channels.

    python -m tests.benchmarks.log_speed [--hours 1 2 4]

Each file is taken in by a process of its own, from the file to the figures at hand (recognised, kept in the record,
read, summed up, read again from the kept arrays), and read by another that only calls numpy. Memory is the most a
process had resident, its interpreter and libraries with it.
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

HZ, CHANNELS = 50, 12
_HEADER = (
    "time,Engine speed (rpm),Road speed (km/h),MAP (kPa),Baro (kPa),Throttle (%),Pedal (%),MAF (g/s),STFT (%),"
    "LTFT (%),Coolant (C),IAT (C),Boost duty (%)\n"
)


def write(path: Path, hours: float) -> None:
    """A file of made-up figures with two decimals, as loggers write them."""
    rng = np.random.default_rng(7)
    with path.open("w") as out:
        out.write(_HEADER)
        for start in range(0, int(hours * 3600 * HZ), 30_000):
            rows = min(30_000, int(hours * 3600 * HZ) - start)
            at = (start + np.arange(rows)) / HZ
            figures = [rng.normal(60, 15, rows) for _ in range(CHANNELS)]
            np.savetxt(out, np.column_stack([at, *figures]), fmt="%.2f", delimiter=",")


def take_in(path: Path, folder: Path) -> dict[str, float]:
    """Take a file in as the page does; seconds, and what it came to."""
    # Imported here, so that the bare read's memory is its own.
    from app.records import log_files, traces  # noqa: PLC0415
    from app.records.garage import Garage  # noqa: PLC0415
    from app.records.logbook import now  # noqa: PLC0415
    from app.settings import Settings  # noqa: PLC0415
    from app.traces.sniff import HEAD, sniff  # noqa: PLC0415

    garage = Garage.open(Settings(folder))
    begun = time.perf_counter()
    with path.open("rb") as file:
        form = sniff(file.read(HEAD)).form
        file.seek(0)
        log_files.put_file(garage.engine, "log", file, now())
    kept = time.perf_counter()
    made = traces.read_file(garage, "log", form, None)
    told = traces.told_of(made)
    ended = time.perf_counter()
    garage.close()
    return {"keep": kept - begun, "read": ended - kept, "rows": float(told["rows"])} | _most()


def bare(path: Path) -> dict[str, float]:
    """numpy alone, on the same file."""
    begun = time.perf_counter()
    found = np.loadtxt(path, delimiter=",", skiprows=1)
    return {"read": time.perf_counter() - begun, "rows": float(len(found))} | _most()


def _most() -> dict[str, float]:
    return {"mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}


def _in_a_process(how: str, path: Path) -> dict[str, float]:
    command = [sys.executable, "-m", "tests.benchmarks.log_speed", f"--{how}", str(path)]
    told: dict[str, float] = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    return told


def main() -> None:
    """Measure, and print a table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--hours", type=float, nargs="+", default=[1, 2, 4])
    parser.add_argument("--take-in", type=Path)
    parser.add_argument("--bare", type=Path)
    asked = parser.parse_args()
    if asked.take_in:
        with tempfile.TemporaryDirectory() as folder:
            print(json.dumps(take_in(asked.take_in, Path(folder) / "data")))
        return
    if asked.bare:
        print(json.dumps(bare(asked.bare)))
        return
    print(f"{os.cpu_count()} cores; load {os.getloadavg()[0]:.1f}")
    print("hours  MB file  rows     keep s  read s  memory MB | numpy s  memory MB | whole/numpy")
    for hours in asked.hours:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "log.csv"
            write(path, hours)
            ours, plain = _in_a_process("take-in", path), _in_a_process("bare", path)
            size = path.stat().st_size / 1e6
        ratio = (ours["keep"] + ours["read"]) / plain["read"]
        told = f"{ours['rows']:7.0f}  {ours['keep']:6.2f}  {ours['read']:6.2f}  {ours['mb']:9.0f}"
        print(f"{hours:5g}  {size:7.1f}  {told} | {plain['read']:7.2f}  {plain['mb']:9.0f} | {ratio:.1f}")


if __name__ == "__main__":
    main()

"""Read plans, try every setting of each, and print one JSON object a line: python3 read.py [-j N] FILE...

Method: one process a plan, two at a time; the answers come in the order of the files.
"""

import os

for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    # The networks are small: threads inside one solve only get in each other's way.
    os.environ.setdefault(variable, "1")

import argparse
import json
import multiprocessing
import sys
import time

from judge import Judge
from plan import Plan


def read(task):
    """The verdict on one file; what cannot be read or tried is told in place of it."""
    path, limit = task
    started = time.perf_counter()
    try:
        with open(path, encoding="utf-8") as file:
            verdict = Judge(Plan(file.read(), path)).verdict(limit)
    except Exception as error:  # One plan that fails must not stop the others.
        verdict = {"plan": path, "error": f"{type(error).__name__}: {error}"}
    return verdict, time.perf_counter() - started


def main():
    parser = argparse.ArgumentParser(description="Try every setting of plans and print what is found.")
    parser.add_argument("files", nargs="+", metavar="FILE")
    parser.add_argument("-j", type=int, default=2, metavar="N", help="how many plans at a time (2)")
    parser.add_argument("--limit", type=int, default=1 << 14, metavar="N", help="most settings to try (16384)")
    parser.add_argument("--times", action="store_true", help="tell on the error stream how long each plan took")
    arguments = parser.parse_args()
    tasks = [(path, arguments.limit) for path in arguments.files]
    workers = min(arguments.j, len(tasks))
    pool = multiprocessing.Pool(workers) if workers > 1 else None
    for verdict, seconds in pool.imap(read, tasks) if pool else map(read, tasks):
        print(json.dumps(verdict, ensure_ascii=False), flush=True)
        if arguments.times:
            print(f"{seconds:7.3f} s  {verdict['plan']}", file=sys.stderr)
    if pool:
        pool.close()
        pool.join()


if __name__ == "__main__":
    main()

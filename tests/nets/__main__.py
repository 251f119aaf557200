"""The commands."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.nets.compare import compare
from tests.nets.keep import keep
from tests.nets.mutants import try_mutants


def main() -> int:
    """Run one command; 1 when something is lost."""
    parser = argparse.ArgumentParser(prog="python -m tests.nets")
    commands = parser.add_subparsers(dest="command", required=True)
    kept = commands.add_parser("keep", help="write what this checkout's shop shows")
    kept.add_argument("folder", type=Path)
    kept.add_argument("--base", type=Path, help="the furnished shop, made if absent")
    compared = commands.add_parser("compare", help="print what differs")
    compared.add_argument("old", type=Path)
    compared.add_argument("new", type=Path)
    compared.add_argument("--lines", type=int, default=8, help="shown of each file")
    mutants = commands.add_parser("mutants", help="seed each fault, run its test")
    mutants.add_argument("names", nargs="*", help="only these")
    asked = parser.parse_args()
    if asked.command == "keep":
        return keep(asked.folder, base=asked.base or asked.folder / "base")
    if asked.command == "compare":
        return compare(asked.old, asked.new, lines=asked.lines)
    return try_mutants(set(asked.names))


if __name__ == "__main__":
    sys.exit(main())

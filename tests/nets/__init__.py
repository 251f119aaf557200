"""What proves that a rebuilt shop is the same shop: kept pages, papers, presses, tests.

    python -m tests.nets keep DIR [--base DIR]   what this checkout's shop shows
    python -m tests.nets compare OLD NEW         what differs between two of them
    python -m tests.nets mutants [NAME ...]      seeded faults, each killed by its test

`keep` makes the furnished shop once in `--base` (left out: `DIR/base`); two checkouts
that are compared look at the same base, so that every row has the same key.
"""

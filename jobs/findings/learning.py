"""What the shop's own records teach: rates drawn towards the default (pure)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from shopapp.figures import Figure, Range, computed, formula, given

Z_95 = 1.959963984540054
"""97.5 % point of the standard normal distribution."""


@dataclass(frozen=True, kw_only=True)
class Learned:
    """A learned rate with what it was made of: all three are shown.

    used     what the shop's sheets use
    own      the shop's own rate, or None without records
    default  what common practice starts from
    """

    used: Figure
    own: Figure | None
    default: Figure


@dataclass(frozen=True, kw_only=True)
class Share:
    """A share of cases with its 95 % range and sample size; shares from 0 to 1."""

    cases: int
    of: int
    share: Figure


@formula("learning.shrunk_rate")
def drawn_rate(
    *, used_amount: float, done: float, default_rate: float, worth: float
) -> float:
    """A rate from few records, drawn towards the default.

        rate = (amount used + default x worth) / (done + worth)

    used_amount   what was used in all: litres poured, minutes taken; 0 or more
    done          what it was used on: m2 of film, number of panels; 0 or more
    default_rate  rate to start from, above 0
    worth         how much done work the default counts for; above 0
    Not for: records of different methods or seasons thrown together.
    Source: credibility weighting, Z = n / (n + k) (Buehlmann 1967, from memory); the
    worth is ours.

    >>> drawn_rate(used_amount=9.0, done=20, default_rate=0.40, worth=20)
    0.425
    """
    if used_amount < 0 or done < 0:
        raise ValueError("what was used and done cannot be negative")
    if default_rate <= 0 or worth <= 0:
        raise ValueError("the default rate and its worth must be above 0")
    return (used_amount + default_rate * worth) / (done + worth)


def shrunk_rate(
    *, used_amount: float, done: float, default_rate: float, worth: float, unit: str
) -> Figure:
    """A rate from few records, drawn towards the default, as a figure in `unit`."""
    shown = (
        ("used in all", used_amount),
        ("done in all", done),
        ("default rate", given(default_rate, unit, "default")),
        ("default counts for", worth),
    )
    return computed(
        drawn_rate,
        unit,
        None,
        shown,
        used_amount=used_amount,
        done=done,
        default_rate=default_rate,
        worth=worth,
    )


def learned_ml_per_m2(
    *, used_ml: float, laid_m2: float, default_ml_per_m2: float, worth_m2: float = 20.0
) -> Learned:
    """Solution used for each m2 of film laid.

    worth_m2  film area that the default counts for, m2; 20 is ours
    """
    return _learned(used_ml, laid_m2, default_ml_per_m2, worth_m2, unit="ml_per_m2")


@dataclass(frozen=True, kw_only=True)
class Use:
    """What one job took of a solution, and the film it laid."""

    used_ml: float
    laid_m2: float


def uses_of(
    *,
    laid_with: Iterable[tuple[int, int]],
    used_ml: Mapping[int, float],
    area_m2: Mapping[int, float],
) -> list[Use]:
    """Uses that the records settle: batches that share a panel count as one job.

    laid_with  (panel, batch): the panel was laid with solution of this batch
    used_ml    by batch, poured less what was left over; unknown ones are absent
    area_m2    by panel

    A job with a batch of unknown use is left out as a whole.
    """
    batches_of: dict[int, set[int]] = {}
    for panel, batch in laid_with:
        batches_of.setdefault(panel, set()).add(batch)
    # Most panels of a car are laid with the same batches: they are looked at once.
    alike: dict[frozenset[int], set[int]] = {}
    for panel, laid in batches_of.items():
        alike.setdefault(frozenset(laid), set()).add(panel)
    jobs: list[tuple[set[int], frozenset[int]]] = []
    for batches, panels in alike.items():
        apart = [job for job in jobs if batches.isdisjoint(job[1])]
        one = [job for job in jobs if not batches.isdisjoint(job[1])]
        together = (
            panels.union(*(job[0] for job in one)),
            batches.union(*(job[1] for job in one)),
        )
        jobs = [*apart, together]
    return [
        Use(
            used_ml=sum(used_ml[batch] for batch in batches),
            laid_m2=sum(area_m2[panel] for panel in panels),
        )
        for panels, batches in jobs
        if all(batch in used_ml for batch in batches)
        and sum(area_m2[panel] for panel in panels) > 0
    ]


def learned_use(
    *,
    uses: Sequence[Use],
    low_ml_per_m2: float,
    high_ml_per_m2: float,
    worth_m2: float = 20.0,
) -> Learned:
    """A solution's use as the shop's own jobs teach it, with the range of a job.

    low, high_ml_per_m2  the default's range; its middle is the default
    worth_m2             film area that the default counts for, m2; 20 is ours

    The range runs from the thriftiest to the most lavish job, drawn towards the
    default's own range as the rate is drawn towards the default.
    """
    amount = sum(use.used_ml for use in uses)
    laid = sum(use.laid_m2 for use in uses)
    learned = learned_ml_per_m2(
        used_ml=amount,
        laid_m2=laid,
        default_ml_per_m2=(low_ml_per_m2 + high_ml_per_m2) / 2,
        worth_m2=worth_m2,
    )
    rates = [use.used_ml / use.laid_m2 for use in uses]

    def drawn(own: float, default: float) -> float:
        return (own * laid + default * worth_m2) / (laid + worth_m2)

    ends = (
        drawn(min(rates, default=0.0), low_ml_per_m2),
        drawn(max(rates, default=0.0), high_ml_per_m2),
    )
    inputs = (
        ("used in all", given(amount, "ml", "poured less left over")),
        ("laid in all", given(laid, "m2", "film laid with it")),
        ("jobs", float(len(uses))),
        ("default", learned.default),
        ("default counts for", given(worth_m2, "m2", "ours")),
    )
    used = replace(learned.used, inputs=inputs, low=ends[0], high=ends[1])
    return replace(learned, used=used)


@formula("learning.wilson_share")
def wilson_range(*, cases: int, of: int) -> Range:
    """A share with the range that a sample of this size leaves open.

        (p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n),  p = cases / n

    cases  how often it was seen, 0 to `of`
    of     sample size, 1 or more
    Not for: comparing shares that were picked because they stood out.
    Source: Wilson 1927, J. Am. Stat. Assoc. 22:209; method 3 of Newcombe 1998, Stat.
    Med. 17:857 (both from memory).

    >>> made = wilson_range(cases=15, of=148)
    >>> round(made.low, 4), round(made.high, 4)
    (0.0624, 0.1605)
    """
    if of < 1 or not 0 <= cases <= of:
        raise ValueError("a share needs a sample, and no more cases than that")
    p, z2 = cases / of, Z_95 * Z_95
    middle = p + z2 / (2 * of)
    half = Z_95 * math.sqrt(p * (1 - p) / of + z2 / (4 * of * of))
    scale = 1 + z2 / of
    return Range(
        value=p,
        # No case at all leaves exactly 0 open, whatever the last bit says.
        low=0.0 if cases == 0 else (middle - half) / scale,
        high=1.0 if cases == of else (middle + half) / scale,
    )


def wilson_share(*, cases: int, of: int) -> Share:
    """A share with its range and its sample, as a figure."""
    share = computed(wilson_range, "", cases=cases, of=of)
    return Share(cases=cases, of=of, share=share)


def _learned(
    amount: float, done: float, default_rate: float, worth: float, *, unit: str
) -> Learned:
    return Learned(
        used=shrunk_rate(
            used_amount=amount,
            done=done,
            default_rate=default_rate,
            worth=worth,
            unit=unit,
        ),
        own=given(amount / done, unit, "the shop's own records") if done else None,
        default=given(default_rate, unit, "default"),
    )

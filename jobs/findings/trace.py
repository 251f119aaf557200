"""From a defect back to its likely causes, as far as the order's record tells (pure).

The table of causes is common practice; the record only points to a cause, speaks
against it, or is silent. It proves nothing by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from jobs.findings.batches_judged import Held, judged, unnamed
from jobs.tables import table
from shopapp.figures import Figure, given
from shopapp.say import Say, say

COMFORT_C = (18.0, 27.0)
"""Below is cold, above is hot.

Common practice, no published source.
"""

HARD_WATER_MG_PER_L = 120.0
"""Hardness as CaCO3 above which water is called hard.

Source: U.S. Geological Survey classes of water hardness (from memory).
"""


class Verdict(StrEnum):
    """What the record says of a cause, in the order in which causes are shown."""

    POINTS_TO = "points_to"
    NOT_RECORDED = "not_recorded"
    BY_EYE = "by_eye"
    AGAINST = "against"


@dataclass(frozen=True, kw_only=True)
class DefectKind:
    """A row of the defect table; solutions_first marks the rows with a star."""

    kind: str
    name: str
    solutions_first: bool
    causes: tuple[str, ...]
    source: str


@dataclass(frozen=True, kw_only=True)
class OrderRecord:
    """What an order's record holds of one panel in one round; None is "not recorded".

    slips, tacks                        each batch that touched the panel
    slip_ml_per_l, slip_asked_ml_per_l  soap in the slip, where no batch is known
    tack_vv_pct, tack_asked_vv_pct      alcohol in the tack, where no batch is known
    placing_min, open_time_min          time from wet to anchored, and time there was
    panel_c, air_c                      reading the panel was laid with, °C
    coldest_cure_c                      coldest air while it settled, °C
    hardness_mg_per_l                   water test, as CaCO3
    vessels_kept_kind                   every vessel only ever held its kind
    vessels_rinsed                      vessels were rinsed before they were filled
    gel_used                            gel was used on the panel
    wax_off                             wax and coating were off
    edges_rinsed, edges_dried, edges_heat_set, jambs_rinsed, fan_off  checklist
    marks_before                        marks on the panel, intake and after-wash
    same_lot_faults                     other panels of this film lot with film faults
    """

    slips: tuple[Held, ...] = ()
    tacks: tuple[Held, ...] = ()
    slip_ml_per_l: float | None = None
    slip_asked_ml_per_l: float | None = None
    tack_vv_pct: float | None = None
    tack_asked_vv_pct: float | None = None
    placing_min: float | None = None
    open_time_min: float | None = None
    panel_c: float | None = None
    air_c: float | None = None
    coldest_cure_c: float | None = None
    hardness_mg_per_l: float | None = None
    vessels_kept_kind: bool | None = None
    vessels_rinsed: bool | None = None
    gel_used: bool | None = None
    wax_off: bool | None = None
    edges_rinsed: bool | None = None
    edges_dried: bool | None = None
    edges_heat_set: bool | None = None
    jambs_rinsed: bool | None = None
    fan_off: bool | None = None
    marks_before: tuple[str, ...] | None = None
    same_lot_faults: int | None = None


@dataclass(frozen=True, kw_only=True)
class Cause:
    """A likely cause with what the record says of it.

    evidence  the record's own figures, or None when it holds nothing of it
    others    the same of the other batches that touched the panel
    """

    code: str
    text: Say
    verdict: Verdict
    evidence: Say | None
    others: tuple[Say, ...] = ()


@cache
def defect_kinds() -> Mapping[str, DefectKind]:
    """The defect table by kind, in the order in which it is offered."""
    return {
        row["kind"]: DefectKind(
            kind=row["kind"],
            name=row["name"],
            solutions_first=row["solutions_first"] == "yes",
            causes=tuple(row["causes"].split()),
            source=row["source"],
        )
        for row in table("defects")
    }


def likely_causes(kind: str, *, record: OrderRecord) -> tuple[Cause, ...]:
    """Causes of a kind of defect beside the order's own record.

    kind    a kind of `defect_kinds`
    record  what is known of the panel's round
    What the record points to comes first, then what it is silent about, then what
    only eyes can tell, last what it speaks against; inside each the table's order.
    Raises KeyError for an unknown kind.
    """
    causes = [_cause(code, record) for code in defect_kinds()[kind].causes]
    order = list(Verdict)
    return tuple(sorted(causes, key=lambda cause: order.index(cause.verdict)))


def _cause(code: str, record: OrderRecord) -> Cause:
    text, check = CAUSES[code]
    if check is None:
        return Cause(code=code, text=say(text), verdict=Verdict.BY_EYE, evidence=None)
    found = check(record)
    if found is None:
        return Cause(
            code=code, text=say(text), verdict=Verdict.NOT_RECORDED, evidence=None
        )
    points, evidence, *others = found
    return Cause(
        code=code,
        text=say(text),
        verdict=Verdict.POINTS_TO if points else Verdict.AGAINST,
        evidence=evidence,
        others=tuple(others),
    )


_Finding = tuple[bool, Say, *tuple[Say, ...]] | None
_Check = Callable[[OrderRecord], _Finding]


def _was(value: float, unit: str) -> Figure:
    return given(value, unit, "record")


def _slip(record: OrderRecord, *, strong: bool) -> _Finding:
    was, asked = record.slip_ml_per_l, record.slip_asked_ml_per_l
    held = record.slips or unnamed("slip", was=was, asked=asked)
    return judged(held, of="soap", unit="ml_per_l", strong=strong)


def _tack(record: OrderRecord, *, strong: bool) -> _Finding:
    was, asked = record.tack_vv_pct, record.tack_asked_vv_pct
    held = record.tacks or unnamed("tack", was=was, asked=asked)
    return judged(held, of="alcohol", unit="vv_pct", strong=strong)


def _dried(record: OrderRecord) -> _Finding:
    if record.placing_min is None or record.open_time_min is None:
        return None
    sentence = say(
        "Placing takes about {took}; the slip stays open about {open_time}.",
        took=_was(record.placing_min, "min"),
        open_time=_was(record.open_time_min, "min"),
    )
    return record.placing_min > record.open_time_min, sentence


def _laid_at(record: OrderRecord, *, hot: bool) -> _Finding:
    """The warmer of panel and air when hot is asked, the colder when cold is."""
    known = [c for c in (record.panel_c, record.air_c) if c is not None]
    if not known:
        return None
    low_c, high_c = COMFORT_C
    temp_c = max(known) if hot else min(known)
    pattern = (
        "The warmer of panel and air was {temp}; usual is up to {limit}."
        if hot
        else "The colder of panel and air was {temp}; usual is from {limit}."
    )
    sentence = say(
        pattern,
        temp=_was(temp_c, "degc"),
        limit=given(high_c if hot else low_c, "degc", "common practice"),
    )
    return (temp_c > high_c if hot else temp_c < low_c), sentence


def _cold_cure(record: OrderRecord) -> _Finding:
    if record.coldest_cure_c is None:
        return None
    sentence = say(
        "It settled at {temp} at the coldest.", temp=_was(record.coldest_cure_c, "degc")
    )
    return record.coldest_cure_c < COMFORT_C[0], sentence


def _water(record: OrderRecord) -> _Finding:
    if record.hardness_mg_per_l is None:
        return None
    sentence = say(
        "The water test read {hardness} hardness.",
        hardness=_was(record.hardness_mg_per_l, "mg_per_l"),
    )
    return record.hardness_mg_per_l > HARD_WATER_MG_PER_L, sentence


def _before_film(record: OrderRecord) -> _Finding:
    if record.marks_before is None:
        return None
    if not record.marks_before:
        return False, say("No mark on this panel before the film.")
    names = ", ".join(record.marks_before)
    return True, say("Marks before the film: {names}.", names=names)


def _maker(record: OrderRecord) -> _Finding:
    if record.same_lot_faults is None:
        return None
    sentence = say(
        "Other panels of this lot with such faults: {count}.",
        count=record.same_lot_faults,
    )
    return record.same_lot_faults > 0, sentence


def _told(field: str, *, bad_when: bool, bad: str, good: str) -> _Check:
    """A check on a yes/no of the record."""

    def check(record: OrderRecord) -> _Finding:
        value: bool | None = getattr(record, field)
        if value is None:
            return None
        points = value is bad_when
        return points, say(bad if points else good)

    return check


CAUSES: Mapping[str, tuple[str, _Check | None]] = {
    "slip_weak": ("slip too weak", lambda r: _slip(r, strong=False)),
    "slip_strong": ("too much soap in the slip", lambda r: _slip(r, strong=True)),
    "slip_dried": ("slip dried out before it was placed", _dried),
    "hot": ("panel or bay hot", lambda r: _laid_at(r, hot=True)),
    "cold": ("panel or bay cold", lambda r: _laid_at(r, hot=False)),
    "pulled_cold": (
        "pulled cold or too far",
        lambda r: _laid_at(r, hot=False),
    ),
    "cold_cure": ("settled in the cold", _cold_cure),
    "hard_water": ("hard water or minerals", _water),
    "tack_weak": ("tack too weak", lambda r: _tack(r, strong=False)),
    "tack_strong": ("tack too strong or too early", lambda r: _tack(r, strong=True)),
    "alcohol_in_slip": (
        "alcohol in the slip vessel",
        _told(
            "vessels_kept_kind",
            bad_when=False,
            bad="A vessel held another kind before.",
            good="The vessels only ever held their kind.",
        ),
    ),
    "soap_in_tack": (
        "soap in the tack vessel",
        _told(
            "vessels_kept_kind",
            bad_when=False,
            bad="A vessel held another kind before.",
            good="The vessels only ever held their kind.",
        ),
    ),
    "dirty_vessel": (
        "dirt in the vessel",
        _told(
            "vessels_rinsed",
            bad_when=False,
            bad="A vessel was filled without a rinse.",
            good="The vessels were rinsed before.",
        ),
    ),
    "gel_left": (
        "gel not pushed out",
        _told(
            "gel_used",
            bad_when=True,
            bad="Gel was used on this panel.",
            good="No gel was used on this panel.",
        ),
    ),
    "wax_left": (
        "wax or coating left on the paint",
        _told(
            "wax_off",
            bad_when=False,
            bad="Wax or coating was not ticked off.",
            good="Wax and coating were ticked off.",
        ),
    ),
    "soap_at_edge": (
        "soap left at the edge",
        _told(
            "edges_rinsed",
            bad_when=False,
            bad="Rinsing the edges was not ticked.",
            good="The edges were rinsed.",
        ),
    ),
    "edge_wet": (
        "edge not dried before it was wrapped",
        _told(
            "edges_dried",
            bad_when=False,
            bad="Drying the edges was not ticked.",
            good="The edges were dried.",
        ),
    ),
    "not_heat_set": (
        "edge not heat-set",
        _told(
            "edges_heat_set",
            bad_when=False,
            bad="Heat-setting the edges was not ticked.",
            good="The edges were heat-set.",
        ),
    ),
    "unrinsed_jamb": (
        "jamb not rinsed",
        _told(
            "jambs_rinsed",
            bad_when=False,
            bad="Rinsing the jambs was not ticked.",
            good="The jambs were rinsed.",
        ),
    ),
    "air_movement": (
        "air moving over the panel",
        _told(
            "fan_off",
            bad_when=False,
            bad="A fan was left on.",
            good="No fan blew on the panel.",
        ),
    ),
    "before_film": ("there before the film", _before_film),
    "maker": ("the film maker's fault: claim with roll and lot", _maker),
    "early_wash": ("washed too early: ask when and how it was first washed", None),
    "over_tension": ("too much tension", None),
    "wrong_relief": ("relief in the wrong place", None),
    "squeegee": ("squeegee pressure, overlap or order", None),
    "lifted_after_tack": ("film lifted after it tacked", None),
    "water_trapped": ("water trapped; it usually clears", None),
    "too_much_heat": ("too much heat", None),
    "placing": ("how it was placed", None),
    "towel_or_tape": ("lint of a towel or tape", None),
    "dusty_edge": ("dust on the edge of the film", None),
    "blade": ("blade", None),
    "squeegee_grit": ("squeegee edge or grit", None),
    "panel_shape": ("shape of the panel", None),
}
"""Each cause in words, and the check that lays the record beside it, if any."""

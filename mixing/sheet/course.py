"""Filling vessels one pour after the other: what is in, what comes next (pure).

While all is poured as asked the sheet's own amounts stand. Once one is not, the pours
that follow are worked out from what is in the vessel; where that leaves strength or
dose outside its tolerance, `set_right` of `mixing.sheet.correction` says what helps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from mixing.dispensers.dosing import Substance, readable_ml
from mixing.sheet.balance import (
    joined_ml,
    joined_vv_pct,
    mixed_ml,
    water_to_mark_ml,
)
from mixing.sheet.correction import (
    Aim,
    InIt,
    SetRight,
    alcohol_to_add_ml,
    is_off,
    right_batch_ml,
    set_right,
    soap_to_add_ml,
    water_to_add_ml,
)
from mixing.sheet.parts import Pour, VesselFill
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say

OUT_STEP_ML = 10.0
"""What goes out is measured in a jug."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A pour that is still to be made.

    at        which of the fill's pours it belongs to
    is_extra  it sets right what was poured before
    """

    at: int
    pour: Pour
    is_extra: bool = False


@dataclass(frozen=True, kw_only=True)
class Course:
    """Vessels filled alike, under way.

    aim      None for gel, which is drawn and not mixed
    net_ml   by pour, what of it is in each vessel; water as water, also to a mark
    out_ml   by pour, what of it went out of each vessel again
    queue    what is still to be poured, in order
    is_own   somebody poured otherwise than asked
    """

    fill: VesselFill
    aim: Aim | None
    net_ml: tuple[float, ...]
    out_ml: tuple[float, ...]
    queue: tuple[Asked, ...]
    is_own: bool = False

    @property
    def in_it(self) -> InIt:
        """What is in each vessel."""
        ml, vv = 0.0, 0.0
        sums = {Substance.WATER: 0.0, Substance.SOAP: 0.0}
        for pour, net in zip(self.fill.pours, self.net_ml, strict=True):
            if pour.strength is None:
                if pour.substance in sums:
                    sums[pour.substance] += net
            elif net and ml:
                both = {
                    "first_ml": ml,
                    "first_vv_pct": vv,
                    "second_ml": net,
                    "second_vv_pct": pour.strength.value,
                }
                ml, vv = joined_ml(**both), joined_vv_pct(**both)
            elif net:
                ml, vv = net, pour.strength.value
        water, soap = sums[Substance.WATER], sums[Substance.SOAP]
        return InIt(stock_ml=ml, stock_vv_pct=vv, water_ml=water, soap_ml=soap)

    @property
    def finished(self) -> InIt:
        """What would stand in each vessel if the rest were poured as asked."""
        course = self
        while course.queue:
            course = course._poured(course.queue[0].pour.amount.value)
        return course.in_it

    @property
    def is_off(self) -> bool:
        """Whether somebody's own pour leads outside the tolerance."""
        if not self.is_own or self.aim is None:
            return False
        return is_off(self.finished, self.aim)

    @property
    def poured_ml(self) -> list[float]:
        """By pour, what is in each vessel; to a mark, the mark that was met."""
        found = []
        for pour, net in zip(self.fill.pours, self.net_ml, strict=True):
            stock = self.in_it
            known = {"stock_ml": stock.stock_ml, "stock_vv_pct": stock.stock_vv_pct}
            mark = pour.to_mark and net
            found.append(mixed_ml(**known, water_ml=net) if mark else net)
        return found

    @property
    def cure(self) -> SetRight | None:
        """What sets the vessel right as it stands; None where nothing in it can."""
        if self.aim is None:
            return None
        found = set_right(self.in_it, self.aim, out_step_ml=OUT_STEP_ML)
        return found if found.volume_ml else None

    def pour(self, amount_ml: float) -> Course:
        """The next pour was made, of so much into each vessel."""
        asked = self.queue[0].pour.amount.value
        course = self._poured(amount_ml)
        if abs(amount_ml - asked) > 1e-9:
            course = replace(course, is_own=True)
        return course._following() if course.is_own else course

    def tipped_out(self) -> Course:
        """All of it went out again: this vessel begins anew."""
        out = tuple(o + n for o, n in zip(self.out_ml, self.net_ml, strict=True))
        return replace(begin(self.fill, self.aim), out_ml=out)

    def put_right(self) -> Course:
        """A part goes out and the cure is to be poured, before what was planned."""
        cure = self.cure
        if cure is None:
            return self
        kept = 1 - cure.out_ml / self.in_it.volume_ml
        wanted = self._cure_figures(cure)
        coming = {asked.pour.substance for asked in self.queue}
        queue = [replace(a, pour=_amended(a.pour, wanted)) for a in self.queue]
        for at, pour in self._last_of_each():
            amount = wanted[pour.substance]
            if pour.substance not in coming and amount.value > _step(pour) / 2:
                added = replace(pour, to_mark=False)
                extra = _of(added, amount, sentence=_ADD)
                queue.append(Asked(at=at, pour=extra, is_extra=True))
        return replace(
            self,
            net_ml=tuple(net * kept for net in self.net_ml),
            out_ml=tuple(
                out + net * (1 - kept)
                for out, net in zip(self.out_ml, self.net_ml, strict=True)
            ),
            queue=tuple(sorted(queue, key=lambda asked: asked.at)),
        )

    def _cure_figures(self, cure: SetRight) -> dict[Substance, Figure]:
        aim, rest = self.aim, self.in_it
        assert aim is not None
        if cure.out_ml:
            rest = rest.without(cure.out_ml)
        stock: dict[str, float] = {
            "volume_ml": cure.volume_ml,
            "vv_pct": aim.vv_pct,
            "stock_ml": rest.stock_ml,
            "stock_vv_pct": rest.stock_vv_pct,
            "added_vv_pct": aim.added_vv_pct,
        }
        after = rest.soap_ml + cure.soap_ml
        return {
            Substance.ALCOHOL: computed(alcohol_to_add_ml, "ml", **stock),
            Substance.WATER: computed(
                water_to_add_ml, "ml", **stock, water_ml=rest.water_ml, soap_ml=after
            ),
            Substance.SOAP: computed(
                soap_to_add_ml,
                "dose_ml",
                volume_ml=cure.volume_ml,
                dose_ml_per_l=aim.dose_ml_per_l,
                soap_ml=rest.soap_ml,
            ),
        }

    def _last_of_each(self) -> list[tuple[int, Pour]]:
        last = {pour.substance: at for at, pour in enumerate(self.fill.pours)}
        return [(at, self.fill.pours[at]) for at in last.values()]

    def _poured(self, amount_ml: float) -> Course:
        asked = self.queue[0]
        if asked.pour.to_mark:
            there = self.in_it
            amount_ml = water_to_mark_ml(
                stock_ml=min(there.stock_ml, amount_ml),
                stock_vv_pct=there.stock_vv_pct,
                volume_ml=amount_ml,
            )
        net = list(self.net_ml)
        net[asked.at] += amount_ml
        return replace(self, net_ml=tuple(net), queue=self.queue[1:])

    def _following(self) -> Course:
        """The pours that were planned, as they follow from what is in the vessel."""
        course, queue = self, []
        for asked in self.queue:
            if not (asked.is_extra or asked.pour.to_mark or self.aim is None):
                asked = replace(
                    asked, pour=_of(asked.pour, course._wanted(asked), sentence=_NOW)
                )
            queue.append(asked)
            course = replace(course, queue=(asked,))
            course = course._poured(asked.pour.amount.value)
        return replace(self, queue=tuple(queue))

    def _wanted(self, asked: Asked) -> Figure:
        aim, there = self.aim, self.in_it
        assert aim is not None
        right = min(right_batch_ml(there, aim), aim.most_ml)
        known = {
            "vv_pct": aim.vv_pct,
            "stock_ml": there.stock_ml,
            "stock_vv_pct": there.stock_vv_pct,
            "added_vv_pct": aim.added_vv_pct,
        }
        if asked.pour.substance is Substance.ALCOHOL:
            volume = min(max(right, self.fill.planned.value), aim.most_ml)
            return computed(alcohol_to_add_ml, "ml", volume_ml=volume, **known)
        if asked.pour.substance is Substance.SOAP:
            volume = there.volume_ml / (1 - aim.dose_ml_per_l / 1000)
            return computed(
                soap_to_add_ml,
                "dose_ml",
                volume_ml=volume,
                dose_ml_per_l=aim.dose_ml_per_l,
                soap_ml=there.soap_ml,
            )
        soap = max(there.soap_ml, right * aim.dose_ml_per_l / 1000)
        if there.vv_pct and there.stock_ml * there.stock_vv_pct > right * aim.vv_pct:
            # More alcohol than the vessel can thin: as much water as it holds.
            return computed(
                water_to_mark_ml,
                "ml",
                stock_ml=min(there.stock_ml, right - soap),
                stock_vv_pct=there.stock_vv_pct,
                volume_ml=right - soap,
            )
        return computed(
            water_to_add_ml,
            "ml",
            volume_ml=right,
            water_ml=there.water_ml,
            soap_ml=soap,
            **known,
        )


def begin(fill: VesselFill, aim: Aim | None) -> Course:
    """Before the first pour."""
    nothing = (0.0,) * len(fill.pours)
    return Course(
        fill=fill,
        aim=aim,
        net_ml=nothing,
        out_ml=nothing,
        queue=tuple(Asked(at=at, pour=pour) for at, pour in enumerate(fill.pours)),
    )


_NOW = "Now {amount} of {substance}: it follows from what you poured."
_ADD = "Add {amount} of {substance} to set it right."
WORDS = {
    Substance.WATER: "water",
    Substance.ALCOHOL: "alcohol",
    Substance.SOAP: "baby shampoo",
    Substance.GEL: "gel",
}


def _step(pour: Pour) -> float:
    return OUT_STEP_ML if pour.graduation is None else pour.graduation.value


def _amended(pour: Pour, wanted: dict[Substance, Figure]) -> Pour:
    if pour.to_mark or pour.substance not in wanted:
        return pour
    return _of(pour, wanted[pour.substance], sentence=_NOW)


def _of(pour: Pour, wanted: Figure, *, sentence: str) -> Pour:
    """The same pour of another amount, rounded to what its dispenser shows."""
    step = _step(pour)
    grid = given(step, "dose_ml", "marks of what it is measured with")
    amount = computed(
        readable_ml, pour.amount.unit, target_ml=wanted, graduation_ml=grid
    )
    if not amount.value:
        amount = given(step, pour.amount.unit, "the least that can be measured")
    how: Say = say(sentence, amount=amount, substance=WORDS[pour.substance])
    counted = pour.is_counted and round(amount.value / step)
    return replace(pour, amount=amount, how=how, fills=counted or pour.fills)

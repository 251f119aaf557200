"""One solution over its vessels: which containers feed which vessel (pure)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from mixing.dispensers.dosing import Substance
from mixing.recipes.spec import (
    FillMode,
    RecipeSpec,
    SolutionKind,
    curve_text,
    soap_from_curve_ml,
    strength_from_curve_vv_pct,
)
from mixing.sheet.balance import soap_for_ml
from mixing.sheet.bench import Bench, CannotPourError
from mixing.sheet.fill import VesselPlan
from mixing.sheet.outcome import fill_of
from mixing.sheet.parts import Climate, Pour, VesselFill
from mixing.sheet.pours import Mix, pours_of
from mixing.sheet.request import SheetRequest
from mixing.sheet.shelf import Shelf, Stock, Taking
from mixing.sheet.standing import capacity_says
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class Alike:
    """Vessels that are filled by the same pours."""

    mix: Mix
    pours: tuple[Pour, ...]
    codes: tuple[str, ...]
    count: int


@dataclass(frozen=True, kw_only=True)
class Planner:
    """Plans one solution of a request; takes what it pours from the shelf."""

    recipe: RecipeSpec
    request: SheetRequest
    bench: Bench
    shelf: Shelf
    strength: Figure | None
    soap: Figure | None

    def plan(self, plans: tuple[VesselPlan, ...]) -> tuple[list[Alike], list[Say]]:
        """Vessels grouped by equal pours, and what is to be said of them.

        Raises CannotPourError when not one vessel can be filled.
        """
        stocks, warnings = self._stocks()
        alike: dict[object, list[Alike]] = {}
        stopped: Say | None = None
        filled = 0
        for plan in plans:
            try:
                self._add(alike, self._mix(plan, stocks))
                filled += 1
            except CannotPourError as stop:
                stopped = stopped or stop.sentence
        if stopped is not None:
            if not filled:
                raise CannotPourError(stopped)
            warnings.append(stopped)
            warnings.append(self._only(filled, len(plans)))
        return [each for group in alike.values() for each in group], warnings

    def fills(self, alike: list[Alike]) -> tuple[VesselFill, ...]:
        """The full result of each group."""
        return tuple(
            fill_of(
                each.mix, each.pours, self.bench, codes=each.codes, count=each.count
            )
            for each in alike
        )

    def _add(self, alike: dict[object, list[Alike]], mix: Mix) -> None:
        """Pour one more vessel, joining it to those filled by equal pours."""
        groups = alike.setdefault(mix.sameness, [])
        if not groups or not self._still_holds(groups[-1].pours):
            pours = pours_of(mix, self.bench)
            groups.append(Alike(mix=mix, pours=pours, codes=(), count=0))
        same = groups[-1]
        for pour in same.pours:
            self.shelf.take(pour.container, pour.amount.value)
        code = (mix.plan.code,) if mix.plan.code else ()
        groups[-1] = replace(same, codes=same.codes + code, count=same.count + 1)

    def _still_holds(self, pours: tuple[Pour, ...]) -> bool:
        left = self.shelf.left_ml
        return all(
            left[pour.container] >= pour.amount.value
            for pour in pours
            if pour.container
        )

    def _mix(self, plan: VesselPlan, stocks: tuple[Stock, ...]) -> Mix:
        soap_ml = self._soap_ml(plan)
        marked = self.request.fill_mode is FillMode.MARK
        volume = plan.volume_ml + (soap_ml if marked else 0.0)
        return Mix(
            recipe=self.recipe,
            plan=plan,
            mode=self.request.fill_mode,
            strength=self.strength,
            soap=self.soap,
            takings=self._takings(stocks, volume),
            soap_from=self._soap_from(soap_ml),
        )

    def _soap_ml(self, plan: VesselPlan) -> float:
        if self.soap is None:
            return 0.0
        return soap_for_ml(
            soap_ml=self.soap.value,
            volume_ml=plan.volume_ml,
            reference_ml=self.recipe.reference_ml,
        )

    @property
    def _drawn(self) -> Substance | None:
        """The substance whose containers limit this solution."""
        if self.recipe.kind is SolutionKind.GEL:
            return Substance.GEL
        return Substance.ALCOHOL if self.recipe.has_alcohol else None

    def _stocks(self) -> tuple[tuple[Stock, ...], list[Say]]:
        """Containers strong enough, oldest first, and why others are not used."""
        if self._drawn is None:
            return (), []
        stocks = self.shelf.of(self._drawn)
        wanted = 0.0 if self.strength is None else self.strength.value
        strong = tuple(stock for stock in stocks if stock.vv.value >= wanted)
        weak = [self._weak(stock) for stock in stocks if stock not in strong]
        said = list(self.shelf.unclear_for(self._drawn))
        if self._drawn is Substance.ALCOHOL and not strong:
            nothing = say(
                "No alcohol is on the shelf list: enter a container with its strength."
            )
            raise CannotPourError([*weak, *said, nothing][0])
        if self._drawn is Substance.GEL and said and not strong:
            raise CannotPourError(said[0])
        return strong, weak + said

    def _weak(self, stock: Stock) -> Say:
        assert self.strength is not None
        return say(
            "{code} holds {strength}, weaker than the {wanted} that {solution} needs: "
            "take a stronger one.",
            code=stock.container.code,
            strength=stock.vv,
            wanted=self.strength,
            solution=self.recipe.name,
        )

    def _takings(
        self, stocks: tuple[Stock, ...], volume_ml: float
    ) -> tuple[Taking, ...]:
        if self._drawn is None or not stocks:
            return ()
        wanted = 100.0 if self.strength is None else self.strength.value
        takings = self.shelf.takings(stocks, volume_ml=volume_ml, vv_pct=wanted)
        if takings is None:
            raise CannotPourError(self._too_little(stocks, volume_ml, wanted))
        return takings

    def _soap_from(self, soap_ml: float) -> Taking | None:
        """The oldest soap container that still holds enough for one vessel."""
        if self.soap is None:
            return None
        stocks = self.shelf.of(Substance.SOAP)
        for stock in stocks:
            left = self.shelf.left_ml[stock.container.code]
            if left >= soap_ml:
                return Taking(stock=stock, left_ml=left, is_rest=False)
        if stocks:
            raise CannotPourError(self._too_little(stocks, soap_ml, 100.0))
        return None

    def _too_little(
        self, stocks: tuple[Stock, ...], volume_ml: float, wanted_pct: float
    ) -> Say:
        codes = ", ".join(stock.container.code for stock in stocks)
        held = self.shelf.held_ml(stocks)
        need = volume_ml * wanted_pct / stocks[0].vv.value
        return say(
            "Too little left: one fill of {solution} takes {need}, {codes} holds "
            "{held}. Bring another container or mix less.",
            solution=self.recipe.name,
            need=given(round(need, 1), "ml", "stock for one vessel"),
            codes=codes,
            held=given(round(held, 1), "ml", f"left in {codes}"),
        )

    def _only(self, filled: int, wanted: int) -> Say:
        return say(
            "{solution}: {filled} of {wanted} vessels can be filled.",
            solution=self.recipe.name,
            filled=filled,
            wanted=wanted,
        )

    def capacity_says(
        self, plans: tuple[VesselPlan, ...], *, needed: float
    ) -> Iterator[Say]:
        """What is to be said of the vessels themselves."""
        volume = sum(plan.volume_ml for plan in plans)
        if not any(plan.code for plan in plans):
            if self.request.vessels:
                yield say(
                    "No clean {solution} vessel is on the list: computed for reference "
                    "bottles.",
                    solution=self.recipe.name,
                )
        else:
            yield from capacity_says(volume_ml=volume, needed_ml=needed)


def planner_of(
    recipe: RecipeSpec,
    request: SheetRequest,
    climate: Climate,
    bench: Bench,
    shelf: Shelf,
) -> Planner:
    """The planner of one solution under one reading."""
    strength, soap = _targets(recipe, climate)
    return Planner(
        recipe=recipe,
        request=request,
        bench=bench,
        shelf=shelf,
        strength=strength,
        soap=soap,
    )


def _targets(
    recipe: RecipeSpec, climate: Climate
) -> tuple[Figure | None, Figure | None]:
    """Strength and soap of the reference bottle under this reading."""
    strength = soap = None
    if recipe.has_alcohol:
        strength = given(recipe.vv_pct, "vv_pct", f"recipe {recipe.key}")
        if recipe.strength_curve_on and recipe.strength_curve and climate.panel:
            strength = computed(
                strength_from_curve_vv_pct,
                "vv_pct",
                panel_c=climate.panel,
                curve=curve_text(recipe.strength_curve),
            )
    if recipe.has_soap:
        soap = given(recipe.soap_ml, "dose_ml", f"recipe {recipe.key}")
        if recipe.soap_curve and climate.warmer:
            soap = computed(
                soap_from_curve_ml,
                "dose_ml",
                warmer_c=climate.warmer,
                curve=curve_text(recipe.soap_curve),
            )
    return strength, soap

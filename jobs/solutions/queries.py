"""What the mixing pages of an order read: sheets, what has changed, what is mixed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from jobs.models import OrderBatch, OrderSheet, WorkOrder
from jobs.solutions.card_queries import (
    SolutionCard,
    gel_is_advised,
    kept_sheet,
    solution_cards,
)
from jobs.solutions.request_queries import sheet_request
from mixing.models import Kind, RecipeVersion, Vessel
from mixing.sheet import (
    FillMode,
    MixingSheet,
    SheetRequest,
    SolutionKind,
    SolutionSheet,
    mixing_sheet,
    pour_changes,
    reading_problems,
    request_problems,
    sheet_today,
)
from mixing.sheet.queries import facts_of, kept_facts, newest_versions
from shopapp.documents import differences
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class MixPage:
    """The sheet of an order as its page shows it.

    request   what a sheet made now is asked
    row       the stored sheet that is shown, or None when it was worked out just now
    changed   which pours differ from the stored sheet as things stand, and why
    replaces  the version that the stored sheet replaces, if any
    since     which pours are other than on that one, and by how much
    problems  why no sheet can be worked out
    asks_anew a kept reading cannot be: only a new one helps
    """

    request: SheetRequest
    sheet: MixingSheet | None
    row: OrderSheet | None
    replaces: int | None
    since: tuple[Say, ...]
    changed: tuple[Say, ...]
    problems: tuple[Say, ...]
    cards: tuple[SolutionCard, ...]
    asks_anew: bool = False

    @property
    def gel_waits(self) -> bool:
        """Gel is on the shop's list, but neither advised nor drawn."""
        gel = next((card for card in self.cards if card.kind == Kind.GEL), None)
        if gel is None or self.sheet is None:
            return False
        return not gel.ties and not gel_is_advised(self.sheet)

    @property
    def next_card(self) -> SolutionCard | None:
        """The next solution to mix."""
        return next((card for card in self.cards if card.is_open), None)


def mix_page(workorder: WorkOrder, *, at: datetime) -> MixPage:
    """The newest stored sheet of this round while it holds, else one made now."""
    request = sheet_request(workorder, at=at)
    problems = tuple(problem.sentence for problem in request_problems(request))
    # No kept sheet follows a reading that cannot be: the page asks for a new one.
    follows = not reading_problems(request.conditions)
    kinds = [recipe.kind.value for recipe in request.recipes]
    row = newest_sheet(workorder, kinds=kinds) if follows else None
    kept = kept_sheet(row) if row else None
    replaces = sheet_before(workorder, row.version) if row else None
    sheet = sheet_today(kept, request=request) if kept else None
    if sheet is None and not problems:
        sheet = mixing_sheet(request)
    cards = solution_cards(workorder, sheet, request) if sheet else ()
    since = _since(workorder, replaces, kept) if replaces and kept else ()
    return MixPage(
        request=request,
        sheet=sheet,
        row=row,
        replaces=replaces,
        since=_of_what_waits(since, cards),
        changed=tuple(what_changed(row, kept, request)) if row and kept else (),
        problems=problems,
        asks_anew=not follows,
        cards=cards,
    )


def _of_what_waits(
    since: Iterable[Say], cards: Iterable[SolutionCard]
) -> tuple[Say, ...]:
    """Without what a settled card says itself; too hot stands above all cards."""
    names = {card.solution.name for card in cards if card.is_open}
    named = ((sentence, dict(sentence.params).get("solution")) for sentence in since)
    return tuple(sentence for sentence, name in named if name in names)


def _since(workorder: WorkOrder, before: int, sheet: MixingSheet) -> tuple[Say, ...]:
    """What a sheet pours otherwise than the one it replaced, both after a reading."""
    older = kept_sheet(workorder.sheets.get(version=before))
    if older.printed_ahead or sheet.printed_ahead:
        return ()
    return pour_changes(older, conditions=sheet.request.conditions)


def newest_sheet(workorder: WorkOrder, *, kinds: Iterable[str]) -> OrderSheet | None:
    """The newest sheet of this round that covers just these kinds."""
    wanted = set(kinds)
    rows = workorder.sheets.filter(round=workorder.round).order_by("-version")
    return next((row for row in rows if wanted == set(row.recipe_versions)), None)


def sheet_before(workorder: WorkOrder, version: int) -> int | None:
    """The version that a kept sheet replaces: the last one of the same solutions."""
    rows = workorder.sheets.values_list("version", "recipe_versions")
    kinds = {number: set(recipes) for number, recipes in rows}
    older = [n for n in kinds if n < version and kinds[n] == kinds.get(version)]
    return max(older, default=None)


def what_changed(
    row: OrderSheet, sheet: MixingSheet, request: SheetRequest
) -> Iterable[Say]:
    """Why a stored sheet no longer says what one made now would say."""
    if request.conditions.is_complete or not sheet.printed_ahead:
        yield from pour_changes(
            sheet, conditions=request.conditions, laying=request.laying
        )
    taken = _taken(row, sheet_today(sheet, request=request))
    if taken:
        yield say(
            "{codes} cannot be filled now: a new sheet takes others.",
            codes=", ".join(taken),
        )
    if abs(sheet.request.film_area_m2 - request.film_area_m2) > 1e-6:
        yield say(
            "The film to be laid was {before}, now it is {now}.",
            before=sheet.film_area,
            now=replace(sheet.film_area, value=request.film_area_m2),
        )
    if _ways(sheet.request) != _ways(request):
        yield say(
            "The settings of the bench were changed: a new sheet follows them.",
        )
    newest = newest_versions()
    for kind, pk in row.recipe_versions.items():
        if kind in newest and newest[kind].pk != pk:
            yield say(
                "The recipe of {solution} was changed: a new sheet follows it.",
                solution=newest[kind].recipe.name,
            )


def _taken(row: OrderSheet, sheet: MixingSheet) -> list[str]:
    """Vessels proposed for what is still to be mixed, that are not clean any more."""
    tied = OrderBatch.objects.filter(workorder=row.workorder_id, round=row.round)
    mixed = set(tied.values_list("batch__kind", flat=True))
    wanted = {
        code
        for solution in sheet.solutions
        if solution.kind.value not in mixed
        and (solution.kind is not SolutionKind.GEL or gel_is_advised(sheet))
        for fill in solution.fills
        for code in fill.codes
    }
    clean = Vessel.objects.filter(state=Vessel.State.CLEAN, retired=False)
    free = set(clean.filter(code__in=wanted).values_list("code", flat=True))
    return sorted(wanted - free)


def _ways(request: SheetRequest) -> tuple[object, ...]:
    """What a request takes from the settings of the bench."""
    return (
        request.fill_mode,
        set(request.preferred),
        request.patch,
        set(request.dispensers),
    )


def mix_request(
    workorder: WorkOrder,
    *,
    kind: str,
    vessels: list[Vessel],
    at: datetime,
    left_ml: Mapping[str, float] | None = None,
) -> SheetRequest:
    """The request for one solution in these vessels.

    left_ml  what is left in those that are filled up over it, by code

    Where the shop's own proposal uses just these, they are filled as far as needed;
    otherwise exactly these are filled, each to its line.
    """
    versions = {kind: newest_versions()[kind]}
    chosen = sheet_request(workorder, at=at, versions=versions, vessels=vessels)
    if left_ml:
        # Over a rest no mark of the vessel says how much goes in.
        over = tuple(
            replace(each, left_ml=left_ml.get(each.code, 0.0))
            for each in chosen.vessels
        )
        return replace(chosen, vessels=over, fill_mode=FillMode.MEASURED)
    proposed = replace(chosen, vessels_chosen=False)
    if request_problems(proposed):
        return chosen
    filled = codes_of(mixing_sheet(proposed), kind)
    return proposed if filled == {each.code for each in vessels} else chosen


def codes_of(sheet: MixingSheet, kind: str) -> set[str]:
    """The vessels that a sheet fills with a solution."""
    solution = solution_in(sheet, kind)
    return {code for fill in solution.fills for code in fill.codes}


def solution_in(sheet: MixingSheet, kind: str) -> SolutionSheet:
    """One solution of a sheet."""
    return next(each for each in sheet.solutions if each.kind.value == kind)


def proposed_codes(whole: SheetRequest, *, kind: str) -> set[str]:
    """The clean vessels that the shop would fill with a solution.

    whole  the request of the whole sheet as things stand
    """
    recipes = tuple(each for each in whole.recipes if each.kind.value == kind)
    request = replace(whole, recipes=recipes)
    if request_problems(request):
        return set()
    return codes_of(mixing_sheet(request), kind)


def versions_of(sheet: MixingSheet) -> dict[str, RecipeVersion]:
    """The recipe versions that a sheet made now follows."""
    kinds = list(sheet.by_kind)
    newest = newest_versions(also=kinds)
    return {kind: newest[kind] for kind in kinds}


def same_sheet(row: OrderSheet, sheet: MixingSheet) -> bool:
    """Whether a stored sheet says the very same."""
    return not differences(kept_facts(row.facts), facts_of(sheet))

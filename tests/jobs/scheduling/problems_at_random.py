"""Random small problems for the property tests."""

from functools import cache

from hypothesis import strategies as st

from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Level,
    Link,
    Need,
    Pair,
    Placed,
    Problem,
    Resource,
    Run,
    Span,
    late_after,
)

BAYS = ("bay1", "bay2", "bay3")
PEOPLE = ("ann", "bob", "cas", "dot")
DAY = 10
NIGHT = 4
"""A cure that ends at night is over when the next day begins."""


@st.composite
def closed_times(draw, most=3):
    found, at = [], 0
    for _ in range(draw(st.integers(0, most))):
        start = at + draw(st.integers(1, 12))
        at = start + draw(st.integers(1, 8))
        found.append((start, at))
    return tuple(found)


@cache
def cured(cure, days=60):
    """Of an end, or of a start: the first tick of a day when so much has passed.

    The clock runs on through the night, which is no tick of the axis.
    """
    runs = []
    for day in range(days):
        first = day * DAY
        for tick in range(first, first + DAY):
            real = day * (DAY + NIGHT) + tick - first + cure
            later, hour = divmod(real, DAY + NIGHT)
            value = later * DAY + min(hour, DAY)
            last = runs[-1] if runs else None
            if last and last.value + last.rise * (tick - last.first) == value:
                continue
            if last and tick - last.first == 1 and value == last.value + 1:
                runs[-1] = Run(first=last.first, value=last.value, rise=1)
                continue
            runs.append(Run(first=tick, value=value, rise=0))
    last = runs[-1]
    runs[-1] = Run(first=last.first, value=last.value, rise=1)
    return tuple(runs)


@st.composite
def needs_of(draw, names, most=2, sized=False):
    choices = draw(st.lists(st.sampled_from(names), min_size=1, unique=True))
    count = draw(st.integers(1, min(most, len(choices))))
    sizes = st.integers(0, 6) if sized else st.none()
    return Need(
        choices=tuple(Choice(resource=one, size=draw(sizes)) for one in choices),
        count=count,
    )


@st.composite
def windows(draw):
    if draw(st.booleans()):
        return None
    release = draw(st.integers(0, 25))
    shape = draw(st.sampled_from(["from", "days"]))
    if shape == "from":
        return ((release, 2000),)
    return tuple(
        (max(release, day * DAY), day * DAY + DAY - 5)
        for day in range(200)
        if max(release, day * DAY) < day * DAY + DAY - 5
    )


@st.composite
def activities_of(draw, job, number):
    kind = draw(st.sampled_from(["plain", "plain", "sized", "table", "pool", "bare"]))
    needs = ()
    if kind in ("plain", "table"):
        needs = (draw(needs_of(PEOPLE)),)
    elif kind == "sized":
        needs = (draw(needs_of(PEOPLE, sized=True)), draw(needs_of(("m1", "m2"), 1)))
    elif kind == "pool":
        pool = Need(choices=(Choice(resource="pool"),), demand=draw(st.integers(1, 3)))
        needs = (pool, draw(needs_of(PEOPLE)), draw(needs_of(PEOPLE, most=1)))
        if (
            len({c.resource for need in needs[1:] for c in need.choices})
            < sum(need.count for need in needs[1:])
            or needs[1].choices == needs[2].choices
        ):
            needs = needs[:2]
    chosen = [c.resource for need in needs[:1] for c in need.choices]
    pinned = ()
    if chosen and kind != "pool" and draw(st.integers(0, 3)) == 0:
        pinned = (draw(st.sampled_from(chosen)),)
    return Activity(
        key=f"{job}.{number}",
        job=job,
        size=draw(st.integers(0, 7)),
        needs=needs,
        starts=draw(windows()),
        end_by_start=cured(draw(st.integers(0, 20))) if kind == "table" else None,
        pinned=pinned,
    )


@st.composite
def links_of(draw, activities):
    found = []
    for one, other in zip(activities, activities[1:], strict=False):
        kind = draw(st.sampled_from(["plain", "plain", "lag", "start", "cure", "back"]))
        found.append(
            Link(
                before=one.key,
                after=other.key,
                lag={"lag": draw(st.integers(0, 4)), "back": -2}.get(kind, 0),
                from_start=kind == "start",
                start_by_end=cured(8) if kind == "cure" else None,
            )
        )
    return found


@st.composite
def spans_over(draw, own):
    first = draw(st.integers(0, len(own) - 1))
    last = draw(st.integers(first, len(own) - 1))
    need = draw(needs_of(BAYS, most=1))
    return Span(
        key=f"{own[0].job} in bay",
        first=own[first].key,
        last=own[last].key,
        need=need,
        pinned=(need.choices[0].resource,) if draw(st.booleans()) else (),
    )


@st.composite
def dues_of(draw, own):
    return Due(
        activity=own[-1].key,
        since=own[0].key,
        late_by_ready=late_after(draw(st.integers(0, 40))),
        weight=draw(st.integers(1, 4)),
        ready_by_end=cured(6) if draw(st.booleans()) else None,
    )


@st.composite
def problems(draw, most_jobs=4, levels=None):
    activities, links, spans, dues, pairs = [], [], [], [], []
    for number in range(draw(st.integers(1, most_jobs))):
        job = f"j{number}"
        own = [
            draw(activities_of(job, place)) for place in range(draw(st.integers(1, 4)))
        ]
        activities += own
        links += draw(links_of(own))
        if draw(st.booleans()):
            spans.append(draw(spans_over(own)))
        if len(own) > 1:
            pairs.append(Pair(before=own[0].key, after=own[-1].key))
        dues.append(draw(dues_of(own)))
    closed = {name: draw(closed_times()) for name in (*BAYS, *PEOPLE)}
    resources = [Resource(key=name, closed=shut) for name, shut in closed.items()]
    resources += [Resource(key=name) for name in ("m1", "m2")]
    resources.append(Resource(key="pool", capacity=3, closed=draw(closed_times(1))))
    previous = tuple(
        Placed(key=one.key, start=draw(st.integers(0, 30)), end=40, resources=("ann",))
        for one in activities
        if draw(st.integers(0, 5)) == 0
    )
    return Problem(
        name="at random",
        horizon=200,
        activities=tuple(activities),
        links=tuple(links),
        resources=tuple(resources),
        spans=tuple(spans),
        dues=tuple(dues),
        pairs=tuple(pairs),
        levels=levels or draw(st.sampled_from([SHOP, AGAIN, (Level.MAKESPAN,)])),
        previous=previous,
    )


SHOP = (Level.LATE, Level.STAY)
AGAIN = (Level.LATE, Level.CHANGE, Level.STAY)

"""The order of joints: steps, the rules that bind them, and an order that keeps the rules, strongest first.

A step tins a case, fixes parts on plate or jig, cuts wires, solders one lug with everything that goes into it
then, fits parts, or stops for the meter. A rule says that one step comes before another. Rules are taken in
strongest first; one that no order can keep beside those already taken is left out, and said.
All rules are common practice, no source.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.job.joints import Solder, Work, work_of
from diagramgen.job.joints_near import above, neighbours
from diagramgen.layout.model import Layout

RULES = {
    "reach": "no iron reaches its lugs once it is in",
    "cut": "a wire is cut and stripped before it is soldered",
    "tin": "a case is scratched and tinned while it is loose: cold metal later draws the heat out of the joint",
    "outside": "made outside, where there is light and room, before it goes in",
    "deep": "the lug that lies deeper is covered by what is soldered above it",
    "fixed": "parts are fixed before their leads are cut: only then is a length true",
    "pickups": "pickup conductors are thin and come last, onto lugs already made",
    "heat": "the large heat of a case joint comes before the joints of what it could cook",
    "stage": "each group is metered before the next hides it",
}
"""The rules, strongest first, each with its reason."""

GROUPS = {
    "cases": "Cases: lugs bent over, grounds from case to case",
    "harness": "The harness, outside the instrument",
    "cavity": "Inside the cavities",
    "channels": "Through the channels: all that sits outside the cavities",
    "pickups": "Pickups, last, onto joints already made",
}
"""Groups of joints; after each stands a stop for the meter."""
RANK = {name: i for i, name in enumerate(GROUPS)}


@dataclass(frozen=True)
class Step:
    """One thing to do. ``kind``: tin | fix | cut | solder | fit | check."""

    kind: str
    key: str
    """Unique among the steps of its kind: a lug and its wave, a part, a cavity or a group."""
    group: str
    """The group of ``GROUPS`` it is meant for."""
    lug: str = ""
    """``part.lug`` of a solder step, or of a case that is tinned."""
    tags: tuple[str, ...] = ()
    """Leads soldered or cut in it."""
    parts: tuple[str, ...] = ()
    """Parts fixed or fitted in it."""

    @property
    def name(self) -> tuple[str, str]:
        """What tells it from all others."""
        return self.kind, self.key


@dataclass(frozen=True)
class Before:
    """A rule at work: ``first`` comes before ``then``."""

    rule: str
    first: tuple[str, str]
    then: tuple[str, str]


@dataclass(frozen=True)
class Ordered:
    """A step in its place, and why it stands there."""

    step: Step
    rule: str
    """The rule of ``RULES`` that says most about its place."""
    after: tuple[str, ...] = ()
    """Names of rules that hold it back to this place."""

    @property
    def reason(self) -> str:
        """Why it stands here."""
        return "readings as they are at this stage" if self.step.kind == "check" else RULES[self.rule]


@dataclass(frozen=True)
class Order:
    """All steps in order, the rules left out, and the lugs that are soldered more than once."""

    steps: tuple[Ordered, ...]
    left_out: tuple[Before, ...]
    again: tuple[tuple[str, int], ...]
    """(``part.lug``, how often): where "each lug once, with all its leads in it" could not be kept."""

    def ranks(self) -> dict[str, tuple[int, str]]:
        """Lead tag -> where it stands in the order of work: the step that finishes it, and the group of the stop
        it is metered at (of its own joint where no stop follows)."""
        stops = [(i, group) for i, group, _ in self.checks()]
        return {tag: (at, next((group for i, group in stops if i > at), self.steps[at].step.group))
                for tag, at in self.made_at().items()}

    def made_at(self) -> dict[str, int]:
        """Lead tag -> index of the step that finishes it: a lead conducts only with all its joints made."""
        found: dict[str, int] = {}
        for i, one in enumerate(self.steps):
            if one.step.kind == "solder":
                found.update((tag, i) for tag in one.step.tags)
        return found

    def checks(self) -> Iterator[tuple[int, str, frozenset[str]]]:
        """Every stop: its index, its group, and the leads made by then."""
        made = self.made_at()
        for i, one in enumerate(self.steps):
            if one.step.kind == "check":
                yield i, one.step.group, frozenset(t for t, at in made.items() if at < i)


def order_of(layout: Layout) -> Order:
    """The order of work of a build; the same for the same build, whatever the machine."""
    work = work_of(layout)
    steps = steps_of(work)
    kept, left_out = consistent(befores(work, steps, layout))
    placed = arranged(steps, kept)
    counts: dict[str, int] = {}
    for step in steps:
        if step.kind == "solder":
            counts[step.lug] = counts.get(step.lug, 0) + 1
    again = tuple((lug, n) for lug, n in counts.items() if n > 1)
    return Order(tuple(_reasoned(placed, kept)), left_out, again)


def steps_of(work: Work) -> list[Step]:
    """Every step, in the order that is wanted where no rule says otherwise."""
    cut_in = cut_groups(work)
    steps = [Step("tin", lug, "cases", lug=lug) for lug in work.tinned]
    steps += [Step("fix", home, "harness", parts=parts) for home, parts in work.harness.items()]
    for group in GROUPS:
        solders = [s for s in work.solders if s.group == group]
        if group == "cavity":
            steps += [Step("fit", home, "cavity", parts=parts) for home, parts in work.harness.items()]
        steps += [Step("fit", part, group, parts=(part,)) for part, at in work.fitted.items() if at == group]
        wires = tuple(dict.fromkeys(t for s in solders for t in s.tags if cut_in.get(t) == group))
        if wires:
            steps.append(Step("cut", group, group, tags=wires))
        steps += [Step("solder", s.key, group, lug=s.lug, tags=s.tags) for s in solders]
        if solders:
            steps.append(Step("check", group, group))
    return steps


def cut_groups(work: Work) -> dict[str, str]:
    """Wire -> the group with whose wires it is cut: its own, else the next in which it is soldered, else the first."""
    found: dict[str, list[str]] = {}
    for s in work.solders:
        for tag in s.tags:
            if tag in work.wires:
                found.setdefault(tag, []).append(s.group)
    later = {tag: [g for g in groups if RANK[g] >= RANK[work.group_of[tag]]] for tag, groups in found.items()}
    return {tag: min(later[tag] or groups, key=RANK.__getitem__) for tag, groups in found.items()}


def befores(work: Work, steps: Sequence[Step], layout: Layout) -> list[Before]:
    """List which step has to come before which, by all rules; the strongest rule first, each pair once a rule."""
    found = [*_physical(work, steps), *_lying(work, layout), *_in_groups(work, steps)]
    rank = {rule: i for i, rule in enumerate(RULES)}
    return sorted(dict.fromkeys(found), key=lambda b: rank[b.rule])


def _fits(steps: Iterable[Step]) -> dict[str, Step]:
    return {part: s for s in steps if s.kind == "fit" for part in s.parts}


def _physical(work: Work, steps: Sequence[Step]) -> Iterator[Before]:
    """Tinning, fixing, cutting and fitting against soldering."""
    fits, cuts = _fits(steps), {tag: s for s in steps if s.kind == "cut" for tag in s.tags}
    fixes = {part: s for s in steps if s.kind == "fix" for part in s.parts}
    for lug in work.tinned:
        part = lug.split(".", 1)[0]
        for step in (fixes.get(part), fits.get(part)):
            if step is not None:
                yield Before("tin", ("tin", lug), step.name)
    for s in work.solders:
        yield from _around(work, s, fits, fixes)
        for tag in s.tags:
            cut = cuts.get(tag)
            if cut is None:
                continue
            if not _first_end(work, s, tag):
                yield Before("cut", cut.name, ("solder", s.key))
            for part in work.ends[tag]:
                held = fixes.get(part) if cut.group in ("cases", "harness") else fits.get(part)
                if held is not None:
                    yield Before("fixed", held.name, cut.name)


def _around(work: Work, s: Solder, fits: Mapping[str, Step], fixes: Mapping[str, Step]) -> Iterator[Before]:
    part = s.lug.split(".", 1)[0]
    if s.lug in work.tinned:
        yield Before("tin", ("tin", s.lug), ("solder", s.key))
    fit = fits.get(part)
    if part in work.hidden and fit is not None:
        yield Before("reach", ("solder", s.key), fit.name)
    elif s.wave == "outside" and fit is not None:
        yield Before("outside", ("solder", s.key), fit.name)
    elif s.wave != "outside" and fit is not None and part in fixes:
        yield Before("outside", fit.name, ("solder", s.key))
    if part in fixes and s.wave == "outside" and not s.loose:
        yield Before("fixed", fixes[part].name, ("solder", s.key))


def _first_end(work: Work, s: Solder, tag: str) -> bool:
    """Whether this is the end of a wire that is soldered while it is still long: its part goes in with it.

    So are both kinds of wire that leave what is built outside: from a part no iron reaches later, and from a harness
    through a channel, whose far end is cut once all is fixed.
    """
    part = s.lug.split(".", 1)[0]
    others = [o for o in work.solders if tag in o.tags and o.key != s.key]
    if s.wave == "outside":
        return any(o.wave == "inside" for o in others)
    return part in work.hidden and any(o.lug.split(".", 1)[0] not in work.hidden for o in others)


def _lying(work: Work, layout: Layout) -> Iterator[Before]:
    """Lugs over lugs, and case joints beside what does not bear heat."""
    by_lug: dict[str, list[Solder]] = {}
    for s in work.solders:
        by_lug.setdefault(s.lug, []).append(s)
    for low, high in above(layout, by_lug):
        yield from (Before("deep", ("solder", a.key), ("solder", b.key)) for a in by_lug[low] for b in by_lug[high])
    for case, lug in neighbours(layout, by_lug):
        yield from (Before("heat", ("solder", a.key), ("solder", b.key)) for a in by_lug[case] for b in by_lug[lug])


def _in_groups(work: Work, steps: Sequence[Step]) -> Iterator[Before]:
    """Pickups after all others; every group closed by its stop."""
    checks = [s for s in steps if s.kind == "check"]
    for s in work.solders:
        if s.wave == "pickups":
            yield from (Before("pickups", ("solder", o.key), ("solder", s.key))
                        for o in work.solders if o.wave != "pickups")
        for check in checks:
            first = RANK[s.group] <= RANK[check.group]
            ends = (("solder", s.key), check.name)
            yield Before("stage", *(ends if first else ends[::-1]))
    yield from (Before("stage", a.name, b.name) for a, b in itertools.pairwise(checks))


def consistent(found: Iterable[Before]) -> tuple[tuple[Before, ...], tuple[Before, ...]]:
    """Rules taken in one after the other, and those that contradict what was taken in before."""
    then: dict[tuple[str, str], list[tuple[str, str]]] = {}
    kept, left_out = [], []
    for one in found:
        if _leads_to(one.then, one.first, then):
            left_out.append(one)
        else:
            then.setdefault(one.first, []).append(one.then)
            kept.append(one)
    return tuple(kept), tuple(left_out)


def _leads_to(
    start: tuple[str, str], goal: tuple[str, str], then: Mapping[tuple[str, str], Sequence[tuple[str, str]]]
) -> bool:
    seen, open_ = {start}, [start]
    while open_:
        at = open_.pop()
        if at == goal:
            return True
        more = [n for n in then.get(at, ()) if n not in seen]
        seen.update(more)
        open_ += more
    return False


def arranged(steps: Sequence[Step], kept: Collection[Before]) -> list[Step]:
    """The first order in the steps' own sequence that keeps all rules given, which must not contradict."""
    index = {s.name: i for i, s in enumerate(steps)}
    waits = [0] * len(steps)
    then: list[list[int]] = [[] for _ in steps]
    for one in kept:
        waits[index[one.then]] += 1
        then[index[one.first]].append(index[one.then])
    ready = [i for i, n in enumerate(waits) if n == 0]
    result: list[Step] = []
    while ready:
        at = heapq.heappop(ready)
        result.append(steps[at])
        for next_ in then[at]:
            waits[next_] -= 1
            if waits[next_] == 0:
                heapq.heappush(ready, next_)
    return result


def _reasoned(placed: Sequence[Step], kept: Collection[Before]) -> Iterator[Ordered]:
    """Each step with the strongest rule about it: of those that make others wait for it, else that make it wait."""
    rank = {rule: i for i, rule in enumerate(RULES)}
    ahead_of: dict[tuple[str, str], set[str]] = {step.name: set() for step in placed}
    behind_of: dict[tuple[str, str], set[str]] = {step.name: set() for step in placed}
    for one in kept:
        ahead_of.setdefault(one.first, set()).add(one.rule)
        behind_of.setdefault(one.then, set()).add(one.rule)
    for step in placed:
        ahead, behind = ahead_of[step.name], behind_of[step.name]
        # A lug soldered inside waits for its part to go in: that is no reason to make it outside.
        both = ahead | (behind - {"outside", "reach"} if step.kind == "solder" else behind)
        yield Ordered(step, _main(step, both), tuple(sorted(behind - {"cut"}, key=lambda r: rank[r])))


def _main(step: Step, rules: Collection[str]) -> str:
    """The rule that says most about a step of its kind."""
    wanted = {"check": ("stage",), "tin": ("tin",), "fix": ("fixed",), "fit": ("reach", "fixed", "outside"),
              "cut": ("fixed",),
              "solder": ("pickups",) if step.group == "pickups" else ("reach", "deep", "heat", "outside")}
    usual = {"cut": "cut", "fit": "fixed", "fix": "fixed"}
    return next((r for r in wanted[step.kind] if r in rules), usual.get(step.kind, "stage"))

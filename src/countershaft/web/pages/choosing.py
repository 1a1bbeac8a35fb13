"""All fits of a job in one choice: what goes where, how probable it is, what it costs to order, and the second best."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote, urlencode

from countershaft.desk.desk import OpenJob
from countershaft.desk.stock_elsewhere import Elsewhere
from countershaft.figures.slot_gauge import SlotGauge, slot_gauge
from countershaft.figures.slot_gauge import Verdict as Word
from countershaft.job.words import Stage
from countershaft.planning.choosing import Left
from countershaft.stages.choice_gaps import Goes
from countershaft.stages.choosing import Choosing, FitChoice, Plan
from countershaft.stages.fit_needed import Window
from countershaft.stages.prediction import Predicted, percent, stated
from countershaft.stages.progress import Progress
from countershaft.web.forms.choosing import seen, take, takes, waits_for
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Answer, Link, Working, enter, source_words

__all__ = [
    "ChoosePage",
    "choose_href",
    "choose_page",
    "elsewhere_words",
    "foreseen",
    "money",
    "probable",
    "stock_href",
    "told_of",
]


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """One fit with what goes in: `leaves` is what it comes to, `note` what else must be known."""

    name: str
    href: str
    piece: str
    leaves: str
    probable: str
    note: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class OpenRow:
    """A fit that nothing is chosen for, why, what to look at, and what to do."""

    name: str
    href: str
    why: str
    suspects: tuple[str, ...]
    do: Link


@dataclass(frozen=True, slots=True)
class OtherPlan:
    """A second best: what it costs in probability, in what it differs, and where to take it."""

    heading: str
    differs: tuple[str, ...]
    href: str


@dataclass(frozen=True, slots=True)
class Tab:
    """How long may be waited for parts; `now` is the one that is shown."""

    label: str
    href: str
    now: bool


@dataclass(frozen=True, slots=True)
class ChoosePage:
    """The joint choice as its template reads it; what there is nothing to say about is empty."""

    frame: Frame
    lead: str
    all_good: str
    all_good_working: Working | None
    proof: str
    tabs: tuple[Tab, ...]
    rows: tuple[ChoiceRow, ...]
    choose_action: str
    choose_words: str
    takes: tuple[str, ...]
    seen: str
    entry_id: str
    orders: tuple[str, ...]
    compare: tuple[tuple[str, str], ...]
    wait_action: str
    open: tuple[OpenRow, ...]
    others: tuple[OtherPlan, ...]
    in_place: tuple[ChoiceRow, ...]
    notices: tuple[str, ...]
    elsewhere: str
    take_action: str
    stock_href: str
    fits_href: str


def choose_href(job: OpenJob) -> str:
    """Where all fits of a job are chosen together."""
    return f"/jobs/{quote(job.tag)}/fit/choose"


def stock_href(job: OpenJob) -> str:
    """Where it is said what can be had."""
    return f"/jobs/{quote(job.tag)}/fit/stock"


def choose_page(
    job: OpenJob,
    progress: Progress,
    found: Choosing,
    *,
    within: int | None,
    compared: dict[str, tuple[Predicted, ...]],
    elsewhere: Elsewhere | None,
    entry_id: str,
) -> ChoosePage:
    """The joint choice; `compared` is what was predicted for the fits that are in, beside what was found."""
    here, best = choose_href(job), found.best
    key = "best" if within is None else f"best:{within}"
    to_choose = takes(found, best)
    return ChoosePage(
        frame=frame(job, progress, Stage.FIT),
        lead=_lead(found),
        all_good=probable(best.probability) if best is not None else "",
        all_good_working=_product(best) if best is not None else None,
        proof=_proof(found) if best is not None else "",
        tabs=_tabs(found, here, within) if best is not None or within is not None else (),
        rows=tuple(_row(job, one) for one in found.fits if one.how in ("shelf", "order")),
        choose_action=_post(job, "choose-all", key, stage_back(job)) if to_choose else "",
        choose_words=_choose_words(len(to_choose)),
        takes=tuple(take(one) for one in to_choose),
        seen=seen(best) if best is not None else "",
        entry_id=entry_id,
        orders=tuple(_order(one, found) for one in best.to_order) if best is not None else (),
        compare=_compare(found),
        wait_action=_wait_action(job, progress, best, key, here),
        open=tuple(_open(job, one) for one in found.fits if one.how not in ("shelf", "order", "in", "closed")),
        others=tuple(_other(job, found, number, within) for number in range(len(found.others))),
        in_place=tuple(_row(job, one, compared) for one in found.fits if one.how in ("in", "closed")),
        notices=(*found.no_step, *found.voided),
        elsewhere=elsewhere_words(elsewhere),
        take_action=f"/jobs/{quote(job.tag)}/fit/take-over" if elsewhere is not None else "",
        stock_href=stock_href(job),
        fits_href=stage_back(job),
    )  # fmt: skip


def stage_back(job: OpenJob) -> str:
    """The list of all fits."""
    return f"/jobs/{quote(job.tag)}/fit"


def _post(job: OpenJob, form: str, key: str, back: str) -> str:
    return f"/jobs/{quote(job.tag)}/enter/{form}?{urlencode({'key': key, 'back': back})}"


def _wait_action(job: OpenJob, progress: Progress, best: Plan | None, key: str, here: str) -> str:
    if best is None or all(one in progress.waits for one in waits_for(best)):
        return ""
    return _post(job, "wait-for-parts", key, here)


def _choose_words(count: int) -> str:
    return "Choose this piece" if count == 1 else f"Choose these {count} pieces"


def _lead(found: Choosing) -> str:
    chosen = sum(1 for one in found.fits if one.how in ("shelf", "order"))
    if not chosen:
        return "Nothing is to be chosen now."
    fits = "1 fit" if chosen == 1 else f"{chosen} fits"
    return f"{fits} chosen for together: each piece goes in once, where all fits together are best with it."


def _proof(found: Choosing) -> str:
    if found.proven:
        return "Proven: no other choice from this stock is better."
    return "The best that was found: the search ended before it was proven."


def probable(chance: float) -> str:
    """How probable, in words, with the figure behind them."""
    words = (
        ("as good as certain", 0.995), ("very probable", 0.95), ("probable", 0.8), ("more probable than not", 0.5),
        ("improbable", 0.1),
    )  # fmt: skip
    said = next((word for word, least in words if chance >= least), "very improbable")
    return f"{said} ({percent(chance)})".replace(
        " %", "\u00a0%"
    )  # no line ends between a figure and its sign


def money(cents: int, currency: str) -> str:
    """An amount with the word of its money."""
    return f"{cents // 100}.{cents % 100:02d} {currency}".strip()


def _product(best: Plan) -> Working:
    """The probability of all fits as the product that it is."""
    factors = " · ".join(f"{one.probability:.4f}" for one in best.left)
    lines = tuple(f"{one.gap}: {percent(one.probability)}" for one in best.left)
    return Working(
        (*lines, f"all together = {factors} = {best.probability:.4f}"),
        "JCGM 106, 7.4, for each; multiplied as if their errors were each one's own",
    )


def _tabs(found: Choosing, here: str, within: int | None) -> tuple[Tab, ...]:
    """No limit, every time that a list names, and the shelf alone; nothing where nothing can be ordered."""
    days = sorted({line.days for one in found.stock.values() if one.prices for line in one.prices.lines})
    if not days:
        return ()
    asked = [
        ("Whatever it takes", None),
        *((_within(one), one) for one in days[:-1]),
        ("From the shelf only", -1),
    ]
    return tuple(
        Tab(label, here if limit is None else f"{here}?within={limit}", limit == within) for label, limit in asked
    )  # fmt: skip


def _within(days: int) -> str:
    return "Here today" if days == 0 else f"Within {days} {'day' if days == 1 else 'days'}"


def _row(job: OpenJob, one: FitChoice, compared: dict[str, tuple[Predicted, ...]] | None = None) -> ChoiceRow:
    told = [each.why for each in (compared or {}).get(one.fit.id, ()) if each.found is not None]
    worst = min((left.probability for left in one.left), default=0.0)
    pieces = ", ".join(each.words + (" (to order)" if each.ordered else "") for each in one.goes)
    return ChoiceRow(
        name=one.fit.name,
        href=f"{stage_back(job)}/{quote(one.fit.id)}",
        piece=pieces,
        leaves=f"{_verb(one).capitalize()} {' and '.join(_leaves(one, left) for left in one.left)}",
        probable="" if told else probable(worst),
        note=" ".join((*told, one.elsewhere)).strip(),
        answers=tuple(foreseen(one, left) for left in one.left),
    )


def told_of(one: FitChoice) -> str:
    """What the joint choice takes for a fit, in one or two sentences."""
    row = ", ".join(each.words + (" (to order)" if each.ordered else "") for each in one.goes)
    chance = min((left.probability for left in one.left), default=0.0)
    leaves = " and ".join(_leaves(one, left) for left in one.left)
    return f"{row}, {_verb(one)} {leaves}; {probable(chance)}. {one.elsewhere}".strip()


def _verb(one: FitChoice) -> str:
    """A length is left, a torque is given."""
    return "leaves" if one.fit.unit == "mm" else "gives"


def _window(one: FitChoice, left: Left) -> Window:
    """What a gap of a fit must lie between, in its unit."""
    number = next(at for at, gap in enumerate(one.now.gaps) if gap.name == left.gap)
    return one.now.found.windows[number]


def _leaves(one: FitChoice, left: Left) -> str:
    window = _window(one, left)
    what = f"{window.name} " if len(one.now.gaps) > 1 else ""
    told = f"{stated(float(left.value), 2 * left.standard, window.digits)} {window.unit}"
    return f"{what}{told.replace('-', '−')}"


def foreseen(one: FitChoice, left: Left) -> Answer:
    """What a fit should come to, on its slot gauge, with the working."""
    window, value, expanded = _window(one, left), float(left.value), 2 * left.standard
    lower, upper = float(window.lower), float(window.upper)
    word: Word = "good" if lower <= value - expanded and value + expanded <= upper else "measure again"
    word = word if left.inside else "bad"
    label = window.name if len(one.now.gaps) == 1 else f"{one.fit.name}, {window.name}"
    gauge = SlotGauge(
        lower=lower, upper=upper, value=value, expanded_uncertainty=expanded, goal=float(window.goal),
        unit=window.unit, verdict=word, digits=window.digits, label=f"{label}, predicted",
    )  # fmt: skip
    told = f"{label}: figures in {window.unit}; in brackets, for which fit a part is"
    return Answer(
        "predicted",
        slot_gauge(gauge),
        word,
        "",
        "",
        Working((told, *left.working), source_words(one.now.source)),
    )


def _order(one: Goes, found: Choosing) -> str:
    when = "today" if one.days == 0 else f"in {one.days} {'day' if one.days == 1 else 'days'}"
    return (
        f"{one.words} for {_fit_name(found, one.seat)}: {money(one.price_cents, found.currency)}, here {when}"
    )


def _fit_name(found: Choosing, seat: str) -> str:
    return next(one.fit.name for one in found.fits if any(each.name == seat for each in one.now.seats))


def _compare(found: Choosing) -> tuple[tuple[str, str], ...]:
    """The shelf alone against ordering; nothing where the best orders nothing."""
    best, shelf = found.best, found.shelf_only
    if best is None or not best.to_order:
        return ()
    alone = f"all good {probable(shelf.probability)}" if shelf is not None else "it cannot fill every place"
    count = len(best.to_order)
    told = f"all good {probable(best.probability)}; {count} {'part' if count == 1 else 'parts'}, "
    told += f"{money(best.price_cents, found.currency)}, here in {best.days} {'day' if best.days == 1 else 'days'}"
    rows = [("From the shelf only", alone), ("With ordering", told)]
    if shelf is not None:
        more = best.probability - shelf.probability
        gain = f"+{more:.2f} probability" if more >= 0.005 else "no more probable, but nearer to the goals"
        rows.append(("Ordering brings", f"{gain}, for {money(best.price_cents, found.currency)}"))
    return tuple(rows)


def _open(job: OpenJob, one: FitChoice) -> OpenRow:
    here = f"{stage_back(job)}/{quote(one.fit.id)}"
    do = {
        "not measured": Link("Measure it", enter(job, "fit-first", key=one.fit.id, back=here)),
        "beyond": Link("Measure again", enter(job, "fit-first", key=one.fit.id, back=here)),
        "no stock": Link("Say what can be had", stock_href(job)),
        "short": Link("Say what can be had", stock_href(job)),
    }.get(one.how, Link("To the fit", here))
    why = one.why or "It is not measured yet."
    return OpenRow(one.fit.name, here, why, one.suspects if one.how == "beyond" else (), do)


def _other(job: OpenJob, found: Choosing, number: int, within: int | None) -> OtherPlan:
    best, plan = found.best, found.others[number]
    assert best is not None, "there is a second best only beside a best"
    less = best.probability - plan.probability
    costs = (
        f"{100 * less:.1f} % less probable" if less >= 0.0005 else "as probable, but farther from the goals"
    )
    differs = []
    for one in plan.goes:
        first = best.at(one.seat)
        if (first.words, first.ordered) != (one.words, one.ordered):
            leaves = next((left for left in plan.left if left.gap == one.seat), None)
            value = f", leaves {float(leaves.value):.{2}f}".replace("-", "−") if leaves is not None else ""
            order = f" (to order, {money(one.price_cents, found.currency)})" if one.ordered else ""
            differs.append(
                f"{_fit_name(found, one.seat)}: {one.words}{order} instead of {first.words}{value}"
            )
    return OtherPlan(
        f"{('Second', 'Third', 'Fourth', 'Fifth')[min(number, 3)]} best: {costs}",
        tuple(differs),
        enter(job, "choose-all", key=f"{number}" if within is None else f"{number}:{within}", back=stage_back(job)),
    )  # fmt: skip


def elsewhere_words(found: Elsewhere | None) -> str:
    """What another job knows of the stock, in one sentence; empty where none does."""
    if found is None:
        return ""
    pieces = f"{found.pieces} {'piece' if found.pieces == 1 else 'pieces'}"
    lists = f" and {found.lists} price {'list' if found.lists == 1 else 'lists'}" if found.lists else ""
    return f"Job {found.tag} knows of {pieces}{lists}, last said by {found.by}, {found.at:%d %b %Y %H:%M}."

"""Build: what came off goes on, new parts are new, every fastener gets its rounds in order, nothing is left over."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from countershaft.job.custody import Custody, Holding, custody, pieces
from countershaft.job.entry import Entry, HeightsSeen, HoleMarked, StepDone, StepSkipped, Tightened
from countershaft.job.state import JobState
from countershaft.model.fasteners import Joint
from countershaft.model.steps import Step
from countershaft.model.transmission import Transmission
from countershaft.planning.tightening import TighteningOrder
from countershaft.stages import fastening
from countershaft.stages.decide import renewed
from countershaft.stages.fit import follow
from countershaft.stages.hidden import review_laid
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to
from countershaft.stages.teardown import review_count, review_step
from countershaft.stages.work import Work, behind, work

__all__ = ["Build", "JointState", "joint_state", "must_be_new", "review", "survey"]


@dataclass(frozen=True, slots=True)
class JointState:
    """A joint, its order, and which place has had which round.

    `round` is the round that is going on, counted from 1; `next` the place that is due, None when all are through.
    """

    joint: Joint
    order: TighteningOrder[str]
    done: dict[str, int]
    round: int
    next: str | None
    marked: int

    @property
    def sequence(self) -> tuple[str, ...]:
        """Every place in the order in which it is tightened; that of the file's list where no order is known."""
        return self.order.sequence or self.joint.place_ids

    @property
    def complete(self) -> bool:
        """Every place has had every round."""
        return self.next is None

    @property
    def begun(self) -> bool:
        """At least one place has had a round."""
        return any(self.done.values())

    @property
    def number(self) -> int:
        """Which place in the order is due, counted from 1; the last where all are through."""
        return len(self.done) if self.next is None else self.sequence.index(self.next) + 1

    @property
    def words(self) -> str:
        """Which joint it is and where it stands."""
        return f"{self.joint.name}: {self.how_far}"

    @property
    def how_far(self) -> str:
        """Where the joint stands: "bolt 11 of 20, round 2 of 3"."""
        places = len(self.done)
        if self.complete:
            return {1: "done", 2: "both done"}.get(places, f"all {places} done")
        rounds = f", round {self.round} of {len(self.joint.stages)}" if len(self.joint.stages) > 1 else ""
        return f"{self.joint.kind} {self.number} of {places}{rounds}"


@dataclass(frozen=True, slots=True)
class Build:
    """The plan of the build, the joints, and what would be left over or missing if it ended now."""

    work: Work
    custody: Custody
    joints: tuple[JointState, ...]
    left_over: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Every step done or skipped, every round given, nothing left over and nothing missing."""
        return self.work.complete and not self.left_over and not self.missing


def survey(transmission: Transmission, state: JobState) -> Build:
    """The build as its page shows it."""
    plan = work(transmission, state, "build")
    where = custody(transmission, state)
    used = {joint for step in transmission.phase("build") for joint in step.tighten}
    joints = tuple(joint_state(state, joint) for joint in transmission.fasteners if joint.id in used)
    missing = (*_lost(transmission, state, plan), *_missing(transmission, plan, joints))
    return Build(plan, where, joints, _left_over(transmission, where), missing)


def joint_state(state: JobState, joint: Joint) -> JointState:
    """Which place of a joint has had which round, as the log tells it."""
    order = fastening.order_of(state, joint)
    sequence = order.sequence or joint.place_ids
    given: dict[str, set[int]] = {place: set() for place in sequence}
    for body in state.bodies(Tightened):
        if body.joint == joint.id:
            for place in body.places:
                given.get(place, set()).add(body.round)
    done = {place: _unbroken(rounds) for place, rounds in given.items()}
    lowest = min(done.values())
    complete = lowest >= len(joint.stages)
    going = len(joint.stages) if complete else lowest + 1
    due = None if complete else next(place for place in sequence if done[place] < going)
    return JointState(joint, order, done, going, due, sum(count >= going for count in done.values()))


def _unbroken(rounds: set[int]) -> int:
    """How many rounds a place has had from the first on; a later one counts nothing while an earlier is missing."""
    return next(number for number in range(len(rounds) + 1) if number + 1 not in rounds)


def must_be_new(transmission: Transmission, state: JobState, step: Step) -> tuple[tuple[str, str], ...]:
    """Parts and fasteners of a build step that must be ticked as new: (id, words)."""
    found = []
    for part_id, count in pieces(transmission, step).items():
        part = transmission.part(part_id)
        replaced, because = renewed(part, state)
        if replaced:
            found.append((part_id, f"{min(count, replaced)} × {part.name}, new ({because})"))
    for joint_id in step.tighten:
        joint = transmission.joint(joint_id)
        if joint.reuse == "always new":
            found.append(
                (
                    f"joint:{joint_id}",
                    f"{len(joint.place_ids)} × {joint.kind} {joint.thread}, {joint.name}, new",
                )
            )
        if joint.renew:
            found.append((f"with:{joint_id}", f"{len(joint.place_ids)} × {joint.renew}, {joint.name}, new"))
    return tuple(found)


def review(transmission: Transmission, state: JobState, entry: Entry) -> Outcome:
    """Whether a build entry may join the log."""
    body = entry.body
    if isinstance(body, Tightened):
        return _review_tightened(transmission, state, body)
    if isinstance(body, HeightsSeen | HoleMarked):
        return fastening.review(transmission, state, body)
    if not isinstance(body, StepDone | StepSkipped):
        return ACCEPTED
    outcome = review_step(transmission, state, body)
    if not outcome.accepted or not isinstance(body, StepDone):
        return outcome
    step = transmission.step(body.step)
    late = review_laid(transmission, state, step, entry)
    return _review_built(transmission, state, step, body) if late.accepted else late


def _review_tightened(transmission: Transmission, state: JobState, body: Tightened) -> Outcome:
    joint = transmission.joint(body.joint)
    step = next((step for step in transmission.phase("build") if joint.id in step.tighten), None)
    if step is None:
        return object_to(f"No build step tightens {joint.name}; correct the file.")
    one = work(transmission, state, "build").find(step.id)
    if one is not None and one.how == "blocked":
        first = "; ".join(f"{need.id} {need.title}" for need in one.blockers)
        return object_to(f"{joint.name} belongs to {step.id}, which cannot be done yet. Before it: {first}.")
    now = joint_state(state, joint)
    if now.complete:
        return object_to(f"{joint.name} has had all its rounds.")
    if body.round != now.round:
        return object_to(f"Round {now.round} of {joint.name} is going on, not round {body.round}.")
    due = [place for place in now.sequence if now.done[place] < now.round][: len(body.places)]
    if list(body.places) != due:
        return object_to(
            f"Next in the order of {joint.name} is {', '.join(due)}, not {', '.join(body.places)}."
        )
    waits = fastening.held(transmission, state, joint)
    return object_to(waits) if waits else ACCEPTED


def _review_built(transmission: Transmission, state: JobState, step: Step, body: StepDone) -> Outcome:
    outcome = _review_put_on(transmission, state, step, body)
    if not outcome.accepted:
        return outcome
    for joint_id in step.tighten:
        joint = joint_state(state, transmission.joint(joint_id))
        if not joint.complete:
            return object_to(f"Not tightened yet: {joint.words}.")
    for key in step.record:
        fit = next((fit for fit in transmission.all_fits if fit.id == key), None)
        if fit is not None:
            now = follow(transmission, state, fit)
            if not now.closed:
                return object_to(
                    f"{fit.name} is not closed: {now.phase}. It closes only when re-measured and good."
                )
    if step.verify and not body.verified:
        return object_to(verified=f"Check and tick it: {step.verify}.")
    return ACCEPTED


def _review_put_on(transmission: Transmission, state: JobState, step: Step, body: StepDone) -> Outcome:
    """What goes on has come off, is new where it must be, and is all there."""
    still_in = _still_in(transmission, state, step)
    if still_in:
        return object_to(
            f"{step.id} puts on what has not come off yet. Before it, do or skip: "
            f"{'; '.join(f'{one.id} {one.title}' for one in still_in)}."
        )
    not_ticked = [words for key, words in must_be_new(transmission, state, step) if key not in body.new]
    if not_ticked:
        return object_to(new=f"Must be new and is not ticked: {'; '.join(not_ticked)}.")
    counted = review_count(step, body)
    if not counted.accepted:
        return counted
    gone = _sent_out(transmission, state, step)
    if gone:
        return object_to(f"{'; '.join(gone)}. Say that it came back, or scrap it and take a new one.")
    short = _short(transmission, state, step)
    if short and not body.written:
        return object_to(written=f"{' '.join(short)} Write down where the rest comes from.")
    return ACCEPTED


def _still_in(transmission: Transmission, state: JobState, step: Step) -> tuple[Step, ...]:
    """Teardown steps that are open and take off what a build step puts on."""
    asked, over = set(pieces(transmission, step)), set(behind(state))
    return tuple(
        one
        for one in transmission.phase("teardown")
        if one.id not in over and asked.intersection(pieces(transmission, one))
    )


def _sent_out(transmission: Transmission, state: JobState, step: Step) -> tuple[str, ...]:
    """Pieces that a step puts on, that were sent out, and that are not to be replaced."""
    asked = pieces(transmission, step)
    where = custody(transmission, state)
    return tuple(
        f"{count} × {one.name} {'are' if count > 1 else 'is'} {spot.words()}"
        for one, spot, count in where.at("sent out")
        if one.sort == "part"
        and one.id in asked
        and asked[one.id] > _at_hand(one) + renewed(transmission.part(one.id), state)[0]
    )


def _at_hand(holding: Holding) -> int:
    """Pieces that lie in the shop."""
    return sum(count for spot, count in holding.outside.items() if spot.how in ("place", "not said"))


def _short(transmission: Transmission, state: JobState, step: Step) -> tuple[str, ...]:
    """Pieces that a step puts on and that neither lie outside the unit nor are replaced by new ones."""
    taken_off = {piece.part for one in transmission.phase("teardown") for piece in one.off}
    where = custody(transmission, state)
    found = []
    for part_id, count in pieces(transmission, step).items():
        part = transmission.part(part_id)
        new, _ = renewed(part, state)
        at_hand = where.out(part_id)
        if part_id in taken_off and at_hand + new < count:
            found.append(f"{count} × {part.name} go on, but only {at_hand + new} came off or are new.")
    return tuple(found)


def _left_over(transmission: Transmission, where: Custody) -> tuple[str, ...]:
    """Pieces that lie somewhere although their part is in the build."""
    built = {part for step in transmission.phase("build") for part in pieces(transmission, step)}
    return (
        *(f"{one.count} × {one.name}, {one.place}" for one in where.lying if one.part in built),
        *(
            f"{count} × {one.name}, {spot.words()}"
            for one, spot, count in where.at("sent out")
            if one.sort == "joint" or one.id in built
        ),
    )


def _lost(transmission: Transmission, state: JobState, plan: Work) -> tuple[str, ...]:
    """Pieces that did not come off with the others, until the step that needs them says where they come from."""
    taken = {body.step for body in state.bodies(StepDone)}
    asked: Counter[str] = Counter()
    for step in transmission.phase("teardown"):
        if step.id in taken:
            asked.update(pieces(transmission, step))
    off = custody(transmission, state).off
    still = {part for one in plan.steps if one.entry is None for part in pieces(transmission, one.step)}
    found = []
    for part_id, count in asked.items():
        part = transmission.part(part_id)
        lost = count - off.get(part_id, 0)
        if lost > renewed(part, state)[0] and part_id in still:
            found.append(f"{lost} × {part.name}: {off.get(part_id, 0)} of {count} came off")
    return tuple(found)


def _missing(transmission: Transmission, plan: Work, joints: tuple[JointState, ...]) -> tuple[str, ...]:
    """Parts whose step was skipped, and places of joints that lack a round, where their step is over."""
    over = {one.step.id for one in plan.steps if one.how in ("done", "skipped")}
    skipped = [one for one in plan.steps if one.how == "skipped"]
    found = [
        f"{count} × {transmission.part(part).name}: {one.step.id} was skipped, because {one.because}"
        for one in skipped
        for part, count in pieces(transmission, one.step).items()
    ]
    closed = {joint for step in transmission.phase("build") if step.id in over for joint in step.tighten}
    found += [joint.words for joint in joints if joint.joint.id in closed and not joint.complete]
    return tuple(found)

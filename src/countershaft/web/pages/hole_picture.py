"""The holes of a joint on a photo of the job: choose the photo, tap hole by hole; the order follows."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob, new_entry_id
from countershaft.figures.tapped_holes import PICTURE_WIDTH, TappedHole, picture_height, tapped_holes
from countershaft.job.entry import HoleMarked, Photo
from countershaft.job.words import Stage
from countershaft.model.fasteners import Joint
from countershaft.stages import fastening
from countershaft.stages.progress import Progress
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.hole_maps import order_words
from countershaft.web.pages.shown import enter

__all__ = ["HolePicturePage", "TapPicture", "hole_picture_page", "tap_picture"]


@dataclass(frozen=True, slots=True)
class TapPicture:
    """A picture with its marks: as wide as every other, so that a tap means the same on every screen."""

    src: str
    width: int
    height: int
    marks: str


@dataclass(frozen=True, slots=True)
class Choice:
    """A photo of the job that may be tapped."""

    href: str
    src: str
    caption: str


@dataclass(frozen=True, slots=True)
class HolePicturePage:
    """The photo that is tapped, or the photos to choose from."""

    frame: Frame
    name: str
    picture: TapPicture | None
    digest: str
    place: str
    progress: str
    order: str
    choices: tuple[Choice, ...]
    undo_href: str
    undo_words: str
    photo_href: str
    other_href: str
    back_href: str
    action: str
    entry_id: str
    problems: tuple[str, ...]


def hole_picture_page(
    job: OpenJob,
    progress: Progress,
    joint_id: str,
    *,
    digest: str = "",
    size: tuple[int, int] | None = None,
    problems: tuple[str, ...] = (),
) -> HolePicturePage:
    """The page as its template reads it; `size` is that of the photo with that digest."""
    joint = job.transmission.joint(joint_id)
    here = f"/jobs/{quote(job.tag)}"
    mine = f"{here}/fasteners/{quote(joint_id)}/picture"
    tapped = fastening.marks(job.state, joint_id)
    had = tapped.holes if tapped is not None and tapped.digest == digest else {}
    left = [place for place in joint.place_ids if place not in had]
    last = [(entry, body) for entry, body in job.state.of(HoleMarked) if body.joint == joint_id]
    again = f"{mine}?photo={digest}" if digest else mine
    return HolePicturePage(
        frame=frame(job, progress, Stage.BUILD),
        name=joint.name,
        picture=tap_picture(job, joint, digest, size) if size is not None else None,
        digest=digest,
        place=left[0] if left else "",
        progress=f"{len(had)} of {len(joint.place_ids)} tapped",
        order=order_words(joint, fastening.order_of(job.state, joint)) if not left else "",
        choices=tuple(
            Choice(
                f"{mine}?photo={photo.digest}",
                f"/pictures/{photo.digest}",
                photo.caption or "a photo of this job",
            )
            for photo in _newest_first(job, joint_id)
        ),
        undo_href=enter(job, "undo", key=last[-1][0].id, back=again) if last and had else "",
        undo_words=f"Undo {last[-1][1].place}" if last and had else "",
        photo_href=enter(job, "photo", key=f"build:{joint_id}", back=mine),
        other_href=mine,
        back_href=f"{here}/joint/{quote(joint_id)}",
        action=mine,
        entry_id=new_entry_id(),
        problems=problems,
    )


def _newest_first(job: OpenJob, joint_id: str) -> tuple[Photo, ...]:
    """Photos of the job, those of the joint before all others, the newest first."""
    newest = job.state.bodies(Photo)[::-1]
    of_joint = tuple(photo for photo in newest if photo.about == joint_id)
    return (*of_joint, *(photo for photo in newest if photo not in of_joint))


def tap_picture(job: OpenJob, joint: Joint, digest: str, size: tuple[int, int]) -> TapPicture:
    """A photo with the marks of a joint on it."""
    tapped = fastening.marks(job.state, joint.id)
    had = tapped.holes if tapped is not None and tapped.digest == digest else {}
    order = fastening.order_of(job.state, joint).sequence or ()
    turns = {place: number for number, place in enumerate(order, start=1)}
    height = picture_height(*size)
    holes = [TappedHole(place, turns.get(place), x, y) for place, (x, y) in had.items()]
    return TapPicture(f"/pictures/{digest}", PICTURE_WIDTH, height, tapped_holes(joint.name, height, holes))

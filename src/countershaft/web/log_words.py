"""What an entry of the log says, in one line of words."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Body, Photo

__all__ = ["say"]


def say(job: OpenJob, body: Body) -> str:
    """What an entry says, in one line: its fields by name, ids with their words."""
    steps = {
        step.id: step.title
        for step in (*job.transmission.phase("teardown"), *job.transmission.phase("build"))
    }
    parts = {part.id: part.name for part in job.transmission.parts}
    said: list[str] = []
    for name, value in body:
        if name in ("kind", "digest", "definition") or value in (None, "", (), False):
            continue
        if name == "target":
            target = next((entry for entry in job.state.entries if entry.id == value), None)
            said.append(
                f"{target.body.kind.replace('_', ' ')} of {target.at:%d %b %H:%M}" if target else str(value)
            )
        elif name == "step":
            said.append(f"{value} {steps.get(str(value), '')}".strip())
        elif name == "about":
            said.append(f"at {value} {steps.get(str(value), parts.get(str(value), ''))}".strip())
        elif name == "part":
            said.append(f"{value} {parts.get(str(value), '')}".strip())
        elif name == "placed":
            said += [f"{one.count} × {parts.get(one.part, one.part)} to {one.place}" for one in value]
        elif name == "values_mm" and isinstance(value, dict):
            said += [f"{key}: {', '.join(map(str, numbers))} mm" for key, numbers in value.items()]
        else:
            said.append(_plain(name, value))
    if isinstance(body, Photo) and not said:
        return "a photo"
    return "; ".join(said)


def _plain(name: str, value: object) -> str:
    words = ", ".join(str(getattr(one, "value", one)) for one in value) if isinstance(value, tuple) else None
    text = words if words is not None else str(getattr(value, "value", value))
    if value is True:
        return name.replace("_", " ")
    if name in ("words", "because", "what", "tag", "result", "how", "warranty"):
        return text
    label = name.removesuffix("_mm").removesuffix("_c").removesuffix("_km").replace("_", " ")
    unit = (
        " mm"
        if name.endswith("_mm")
        else " °C"
        if name.endswith("_c")
        else " km"
        if name.endswith("_km")
        else ""
    )
    return f"{label} {text}{unit}"

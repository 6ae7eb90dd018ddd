"""The pictures of a digest: which lawn's, beside the page in a mail, or within it as a file."""

from __future__ import annotations

import base64
from collections.abc import Iterable

from advisor.digest.drawing import Ground
from advisor.digest.mail import Inline, content_id
from advisor.digest.pictures import pictures
from advisor.digest.plot import Picture
from advisor.digest.png import png
from advisor.plan.model import LawnPlan, Plan

GROUNDS: tuple[Ground, ...] = ("light", "dark")


def pictured_lawn(plan: Plan) -> LawnPlan | None:
    """The lawn whose pictures a digest shows: the headline's, else the first. The season page has
    those of all."""
    lawns = {lawn.name: lawn for lawn in plan.lawns}
    return lawns.get(plan.headline.lawn or "") or next(iter(lawns.values()), None)


def shown(plan: Plan) -> tuple[Picture, ...]:
    """The pictures of that lawn."""
    lawn = pictured_lawn(plan)
    return pictures(plan, lawn.name) if lawn is not None else ()


def inline(plan: Plan, grounds: Iterable[Ground] = GROUNDS) -> tuple[Inline, ...]:
    """The same as PNG for a mail, named by picture and ground: `soil-light`."""
    return tuple(
        Inline(name(picture.name, ground), png(picture.drawing.svg(ground)), picture.finding)
        for ground in grounds
        for picture in shown(plan)
    )


def name(picture: str, ground: str) -> str:
    """What a picture on one ground is called in a mail."""
    return f"{picture}-{ground}"


def by_content_id(plan: Plan, picture: str) -> str:
    """Where a mail's page finds a picture."""
    return f"cid:{content_id(plan, picture)}"


def standing_alone(page: str, plan: Plan, pictures: Iterable[Inline]) -> str:
    """The page of a mail as a file of its own, with its pictures within."""
    for picture in pictures:
        data = base64.b64encode(picture.png).decode("ascii")
        address = by_content_id(plan, picture.name)
        page = page.replace(f'"{address}"', f'"data:image/png;base64,{data}"')
    return page

"""`swardcast dose`: from a product's label to what is weighed out, with how to check it."""

from __future__ import annotations

import argparse
from pathlib import Path

from advisor.cli.counting import counted
from advisor.cli.exits import Exit
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import document, err, out
from advisor.digest.clean import cleaned
from advisor.digest.dosed import render_dose
from advisor.language.speaking import speaking
from advisor.plan.dosing import Ask, AskError, Catch, dose_sheet
from advisor.series.quantity import Kind
from advisor.site.amounts import Amount, read_amount
from advisor.site.fields import WrongTextError
from advisor.site.lawns import Lawn
from advisor.site.problem import nearest
from advisor.site.shelf import Product
from advisor.site.spreaders import Sprayer, Spreader
from advisor.store.errors import StoreError


class _WordsError(Exception):
    """A word of the call that cannot stand; the message is one sentence."""


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, arguments.on)
    if opened is None:
        return Exit.SITE
    with speaking(opened.site.language):
        return _told(arguments, opened)


def _told(arguments: argparse.Namespace, opened: Opened) -> int:
    try:
        product = _product(opened, arguments.product)
        lawns = _lawns(opened, arguments.lawn)
        task = _task(product, arguments.task)
        ask = _ask(opened, arguments)
        sheet = dose_sheet(product, lawns, counted(opened), task, ask)
    except (_WordsError, AskError) as error:
        err(str(error))
        return Exit.WORDS
    except StoreError as error:
        err(str(error))
        return Exit.LATER
    if arguments.json:
        document(cleaned(sheet).model_dump_json(indent=2, by_alias=True))
    else:
        out(render_dose(sheet))
    return Exit.PROBLEMS if any(lawn.dose is None for lawn in sheet.lawns) else Exit.DONE


def _product(opened: Opened, name: str) -> Product:
    shelf = opened.read.files.shelf
    product = shelf.get(name)
    if product is not None:
        return product
    if name in shelf.broken:
        raise _WordsError(f"“{name}” has a mistake in shelf.toml; `swardcast check` shows it.")
    raise _WordsError(_unknown("product on the shelf", name, [one.name for one in shelf.products]))


def _lawns(opened: Opened, name: str) -> list[Lawn]:
    lawns = opened.site.lawns
    found = [lawn for lawn in lawns if not name or lawn.name == name]
    if not found:
        raise _WordsError(_unknown("lawn", name, [lawn.name for lawn in lawns]))
    return found


def _task(product: Product, name: str) -> str:
    """The task that it is put down for: the one that is named, else the first that it serves."""
    if not name or name in product.serves:
        return name or product.serves[0]
    raise _WordsError(f"{product.name} does not serve “{name}”, but {', '.join(product.serves)}.")


def _ask(opened: Opened, arguments: argparse.Namespace) -> Ask:
    nitrogen = _amount("--nitrogen", arguments.nitrogen, Kind.MASS_PER_AREA)
    return Ask(
        rate=_amount("--rate", arguments.rate, Kind.MASS_PER_AREA, Kind.VOLUME_PER_AREA),
        nitrogen_g_m2=nitrogen.value if nitrogen else None,
        tool=_tool(opened, arguments.spreader),
        catch=_catch(arguments.catch),
    )


def _amount(flag: str, text: str, *kinds: Kind) -> Amount | None:
    if not text:
        return None
    try:
        return read_amount(text, *kinds)
    except WrongTextError as error:
        raise _WordsError(f"{flag}: {error}.") from None


def _tool(opened: Opened, name: str) -> Spreader | Sprayer | None:
    site = opened.site
    known: dict[str, Spreader | Sprayer] = {one.name: one for one in site.spreaders}
    known |= {one.name: one for one in site.sprayers}
    if not name or name in known:
        return known.get(name)
    raise _WordsError(_unknown("spreader or sprayer of site.toml", name, list(known)))


def _catch(text: str) -> Catch | None:
    """What was caught on a measured area: `1.5 lb on 100 ft2`."""
    if not text:
        return None
    caught, on, area = text.partition(" on ")
    amount = _amount("--catch", caught, Kind.MASS, Kind.VOLUME) if on else None
    ground = _amount("--catch", area, Kind.AREA) if on else None
    if amount is None or ground is None:
        raise _WordsError(f"--catch: “{text}” cannot be read; write it like 1.5 lb on 100 ft2.")
    return Catch(amount, ground.value)


def _unknown(what: str, name: str, known: list[str]) -> str:
    """That there is none of that name, and the nearest that there is."""
    near = nearest(name, known) or f"There is {', '.join(known) or 'none'}."
    return f"No {what} is called “{name}”. {near}"

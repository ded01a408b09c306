"""What is compiled from tables: the vocabulary of ``grammars/`` and the meters of ``dialogs/tables``."""

from __future__ import annotations

import contextlib
import dataclasses
import functools
import hashlib
import os
import tempfile
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import platformdirs

from assistant.errors import OperatorError
from assistant.intents.answers import answers_in
from assistant.intents.sayings import Beside, sayings_in
from assistant.intents.second_opinion import SecondOpinion
from assistant.library import files, folders, read_toml, shop_folder
from assistant.numerals.units import power_of_ten
from assistant.numerals.vocabulary import Vocabulary
from assistant.verdict.uncertainty import Meter, meters_from

if TYPE_CHECKING:
    from assistant.intents.linear import Learned


def load_meters() -> dict[str, Meter]:
    """Every meter by name. The shop's own ``dialogs/tables/meters.toml`` comes first, ours fills in the rest.

    Raises:
        OperatorError: a file cannot be read.
        DocumentError: a file has faults.
    """
    meters: dict[str, Meter] = {}
    for folder in folders("dialogs"):
        path = folder / "tables" / "meters.toml"
        if path.is_file():
            for name, meter in meters_from(read_toml(path), str(path)).items():
                meters.setdefault(name, meter)
    if not meters:
        return meters
    units = load_vocabulary().units
    shifts = {
        name: {
            other.name: power
            for other in units.values()
            if other.dimension == unit.dimension
            and other.name != name
            and not (unit.offset or other.offset)
            and (power := power_of_ten(unit.factor / other.factor)) is not None
        }
        for name, unit in units.items()
    }
    return {name: meter.in_units(shifts) for name, meter in meters.items()}


def load_meter(name: str) -> Meter:
    """One meter by its name; case does not matter.

    Raises:
        OperatorError: there is none of that name; those that exist are named.
    """
    meters = load_meters()
    for known, meter in meters.items():
        if known.casefold() == name.strip().casefold():
            return meter
    there = ", ".join(sorted(meters)) or "none at all"
    own = shop_folder() / "dialogs" / "tables" / "meters.toml"
    raise OperatorError(f"There is no meter '{name}'.", remedy=f"There are: {there}. Your own goes into {own}.")


@functools.cache
def load_vocabulary() -> Vocabulary:
    """Everything that people say, compiled from ``grammars/``; a shop's own file replaces ours of that name.

    The classifier of intents is fitted to the sayings when it is first asked, and kept in the user's cache.

    Raises:
        OperatorError: there is no folder of grammars.
        DocumentError: a table is wrong, with all findings.
    """
    tables = {path.stem: read_toml(path) for path in files("grammars")}
    if not tables:
        raise OperatorError("The grammars are missing.", remedy="Install the program again.")
    sayings = sayings_in({path.name: path.read_text(encoding="utf-8") for path in files("grammars", SAYINGS)})
    answers = answers_in({path.name: path.read_text(encoding="utf-8") for path in files("grammars", ANSWERS)})
    every = sorted(said for sentences in answers.by_question.values() for said in sentences)
    sayings += tuple((Beside.LOOK.value, said) for said in every[::ONE_IN])
    opinion = SecondOpinion(functools.partial(learned, sayings)) if sayings else None
    return dataclasses.replace(Vocabulary.from_tables(tables), second_opinion=opinion, answers=answers)


SAYINGS = "sayings/*.tsv"
"""Files of ``grammars/`` with sentences that people said."""
ANSWERS = "answers/*.tsv"
"""Files of ``grammars/`` with answers to questions that have choices."""
ONE_IN = 8
"""One answer in so many is a saying too, of what something looks like: they are many more than any other."""
_MADE_BY = "1"
"""Changed with how the classifier is made, so that one that was kept before is not used."""


def learned(sayings: Sequence[tuple[str, str]]) -> Learned:
    """The classifier fitted to these sayings: the one that was kept, or a new one, which is kept."""
    from assistant.intents import linear

    told = hashlib.sha256("\n".join((_MADE_BY, *map("\t".join, sayings))).encode())
    path = Path(platformdirs.user_cache_dir("leadsman", appauthor=False)) / f"intents-{told.hexdigest()[:16]}.npz"
    broken = (OSError, EOFError, ValueError, KeyError, zipfile.BadZipFile)
    with contextlib.suppress(*broken), path.open("rb") as file:
        return linear.read(file)
    made = linear.fit(sayings)
    with contextlib.suppress(OSError):  # it is only made again
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(dir=path.parent, suffix=".tmp")
        with os.fdopen(handle, "wb") as file:
            linear.write(made, file)
        Path(beside).replace(path)
        for other in path.parent.glob("intents-*.npz"):
            if other != path:
                other.unlink()
    return made

"""What is compiled from tables: the vocabulary of ``grammars/`` and the meters of ``dialogs/tables``."""

from __future__ import annotations

import functools

from assistant.errors import OperatorError
from assistant.library import files, folders, read_toml, shop_folder
from assistant.numerals.units import power_of_ten
from assistant.numerals.vocabulary import Vocabulary
from assistant.verdict.uncertainty import Meter, meters_from


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

    Raises:
        OperatorError: there is no folder of grammars.
        DocumentError: a table is wrong, with all findings.
    """
    tables = {path.stem: read_toml(path) for path in files("grammars")}
    if not tables:
        raise OperatorError("The grammars are missing.", remedy="Install the program again.")
    return Vocabulary.from_tables(tables)

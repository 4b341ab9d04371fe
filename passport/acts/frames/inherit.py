"""What a new frame takes over from the one that it replaces beside its setup: the figures that a plan was made for."""

from collections.abc import Mapping

from passport.acts.clock import today
from passport.records.load import Content

_UNITS: Mapping[str, str] = {"mass": "g", "balance": "mm", "swingweight": "kgcm2", "twistweight": "kgcm2"}


def read_targets(records: Content, old: str) -> dict[str, str]:
    """Targets for what the setup of an old frame, ``player/frame``, does not ask for: what it read as it was played.

    They are those that a rebuild is worked out for, so that the new frame is judged by what was aimed at; an estimate is
    none. Empty where nothing was read, or what it rests on is not in the records.
    """
    from passport.workshop.rebuild.subject import Workbench  # numpy, which other ways to issue need not wait for
    from passport.workshop.rebuild.targets import aims

    try:
        found = aims(Workbench(records, today()), old)
    except (ValueError, KeyError):  # something lacks, or is not in the catalogue, which the checks report
        return {}
    read = [aim for aim in found if aim.source == "readings"]
    return {a.quantity: f"{a.target:.1f} ± {a.tolerance:g} {_UNITS[a.quantity]}" for a in read}

"""What Python expects of the objects of the core: places in a sequence, hashes, a short `repr`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from overcoat._columns import in_unicode
from overcoat._core import Brief, Build, Finding, Option, Outlook, OvercoatError, Papers, Ranking
from overcoat._refusal import UnknownBuildError, listed, number, unknown, wrong

_option_of, _quantile, _survival = Ranking.__getitem__, Outlook.quantile, Outlook.survival


def _getitem(self: Ranking, key: Any, /) -> Any:
    """The option of a place, the options of a slice as a list, or the option of a build."""
    try:
        return _option_of(self, key.build if isinstance(key, Option) else key)
    except KeyError as error:
        builds = [str(option.build) for option in self]
        remedy = "Use a build of the ranking."
        raise unknown("build", str(key), builds, remedy, UnknownBuildError) from error


def _reversed(self: Ranking) -> Iterator[Option]:
    """The options from the last to the first."""
    return iter(self[::-1])


def _place_of(self: Ranking, value: Any) -> int | None:
    """The place of an option, or of a build or its text; none for anything else."""
    wanted = in_unicode(value) if isinstance(value, str) else value
    if wanted not in self:
        return None
    if isinstance(wanted, Option):
        return next(i for i, option in enumerate(self) if option == wanted)
    build = Build(str(wanted))
    return next(i for i, option in enumerate(self) if option.build == build)


def _index(self: Ranking, value: Any, start: int | None = None, stop: int | None = None) -> int:
    """Where an option or a build stands, counted from 0.

    Parameters
    ----------
    value : Option, Build or str
        What is looked for, as an object or as a ranking prints it.
    start, stop : int, optional
        The slice within which it is looked for.

    Returns
    -------
    int

    Raises
    ------
    InvalidValueError
        An option or a build that does not stand there.

    Examples
    --------
    >>> from overcoat import rank
    >>> ranking = rank({"part": {"base_metal": "steel_4_6"}, "duty": {"place": "rural", "required_years": 2}})
    >>> ranking.index(ranking[3].build)
    3
    """
    for name, end in (("start", start), ("stop", stop)):
        if end is not None and (isinstance(end, bool) or not isinstance(end, int)):
            raise wrong(name, end, "a whole number", "Pass a place in the ranking.")
    place = _place_of(self, value)
    if place is not None and place in range(*slice(start, stop).indices(len(self))):
        return place
    raise wrong("value", value, "an option or a build of this ranking", "Ask `build in ranking` first.")


def _count(self: Ranking, value: Any) -> int:
    """How often an option or a build is in the ranking.

    Parameters
    ----------
    value : Option, Build or str
        What is looked for, as an object or as a ranking prints it.

    Returns
    -------
    int
        1 or 0.

    Examples
    --------
    >>> from overcoat import rank
    >>> ranking = rank({"part": {"base_metal": "steel_4_6"}, "duty": {"place": "rural", "required_years": 2}})
    >>> ranking.count(ranking.best), ranking.count("steel_4_6 / hot_alkaline / no_such_film")
    (1, 0)
    """
    return int(_place_of(self, value) is not None)


def _ranking_repr(self: Ranking) -> str:
    met = "met" if self.met else "not met"
    best = "every option is blocked" if self.best is None else f"best: {self.best.build}"
    return f"Ranking({self.brief.name!r}, {len(self)} options, target {met}; {best})"


def _brief_repr(self: Brief) -> str:
    """A brief as the call that makes it."""
    document = self.to_dict()
    given = {title: document.get(title) for title in ("name", "part", "duty", "wants", "remarks")}
    return f"Brief({', '.join(f'{title}={value!r}' for title, value in given.items() if value)})"


def _remarks(self: Brief) -> str | None:
    """Remarks for the reader, or None."""
    remarks: str | None = self.to_dict().get("remarks")
    return remarks


def _brief_hash(self: Brief) -> int:
    # equal briefs may differ in the sign of a zero
    return hash(self.to_json().replace("-0.0", "0.0"))


def _years_at(self: Outlook, p: Any) -> float | list[float]:
    """Years that a share of the cases stays below, at most the horizon [a].

    Parameters
    ----------
    p : float or sequence of float
        Share of the cases, 0 to 1.

    Returns
    -------
    float or list of float
        Years [a]; a list for a sequence.

    Raises
    ------
    InvalidValueError
        A share outside 0 to 1.
    """
    if isinstance(p, (str, bytes)) or not hasattr(p, "__len__") or getattr(p, "ndim", 1) == 0:
        years: float = _quantile(self, p)
        return years
    shares = listed("p", p, "a number or a list of numbers", "Give shares from 0 to 1.")
    return [_quantile(self, share) for share in shares]


def _kept_for(self: Outlook, years: Any) -> Any:
    if isinstance(years, str):
        number("years", years, "a number or a list of numbers", "Give years as numbers.")
    return _survival(self, years)


def _order_note(self: Papers) -> str:
    """The order note as plain text: what is settled, what is open with a proposal, who signs."""
    _, heading, rest = self.to_text().partition("ORDER NOTE\n")
    return heading + rest.partition("\nROUTE CARD\n")[0]


def complete() -> None:
    """Gives the classes of the core what Python expects of them; once, when the package is imported."""
    _kept_for.__doc__ = _survival.__doc__
    for kind, names in (
        (
            Ranking,
            {
                "__getitem__": _getitem,
                "__reversed__": _reversed,
                "index": _index,
                "count": _count,
                "__repr__": _ranking_repr,
            },
        ),
        (Brief, {"__repr__": _brief_repr, "__hash__": _brief_hash, "remarks": property(_remarks)}),
        (Option, {"__hash__": lambda self: hash(self.build)}),
        (Finding, {"__hash__": lambda self: hash((self.rule, self.message))}),
        (
            Outlook,
            {
                "__hash__": lambda self: hash((self.median_years, self.log_sd, self.probability_ok)),
                "quantile": _years_at,
                "survival": _kept_for,
            },
        ),
        (Papers, {"order_note": property(_order_note)}),
        # every error has all of them; None where there is nothing to say
        (OvercoatError, dict.fromkeys(("value", "allowed", "nearest"))),
    ):
        for name, value in names.items():
            setattr(kind, name, value)
    Sequence.register(Ranking)

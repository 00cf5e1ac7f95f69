"""A panel for notebooks: the duty of a brief under sliders, the answer at once.

Needs ipywidgets: `pip install "overcoat[notebook]"`.
"""

from __future__ import annotations

import html
import json
import math
from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._extras import needs
from overcoat._refusal import how_many

if TYPE_CHECKING:
    from overcoat._core import Brief, Catalog, Ranking

# Field of the duty: its words with the unit, least and greatest value of the slider, step. The range of the
# air is that for which ISO 9223:2012 gives its functions, rounded; the brief and the places may widen it.
_NUMBERS = {
    "required_years": ("required years [a]", 0.5, 30.0, 0.5),
    "temperature_c": ("temperature [°C]", -17.0, 29.0, 0.5),
    "relative_humidity_pct": ("relative humidity [%]", 34.0, 93.0, 1.0),
    "so2_mg_m2_day": ("SO₂ [mg/(m²·d)]", 0.0, 150.0, 0.5),
    "chloride_mg_m2_day": ("chloride [mg/(m²·d)]", 0.0, 760.0, 0.5),
    "first_year_steel_loss_um": ("measured loss [µm/a]", 0.1, 200.0, 0.1),
}
_AIR = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
# a list shows nothing for None, so that nothing is said by an empty word
_SHELTERS = [("as usual at the place", ""), *((word, word) for word in ("open", "sheltered", "indoor"))]
_NO_PLACE = "none: the numbers below are measured"
_WIDE = {"description_width": "11rem"}


class Panel:
    """Sliders and lists for the duty of a brief over its answer; a notebook shows it as a cell's last value.

    The place fills the four numbers of the atmosphere. One that is moved away from the place's goes into the
    brief
    and overrides it there, as `overcoat.rank` would read it from a file; without a place all four do. A brief
    with a measured first-year loss has a slider for that instead.

    Attributes
    ----------
    brief : Brief
        The brief as the controls stand.
    ranking : Ranking
        Its answer; after a refusal the last one that there was.
    controls : dict of str
        The widget of each field of the duty; setting `.value` is moving it.
    widget : ipywidgets.VBox
        All of it, for a page of one's own.
    """

    brief: Brief
    ranking: Ranking
    controls: dict[str, Any]
    widget: Any

    def __init__(self, brief: Brief, catalog: Catalog | None = None, top: int = 6) -> None:
        with needs("notebook", "a panel"):
            import ipywidgets

        self._catalog = _core.Catalog.default() if catalog is None else catalog
        self._top = how_many(top)
        self.ranking = _core.rank(brief, self._catalog)
        self._places: dict[str, Any] = json.loads(self._catalog.to_json())["places"]
        self._asked: dict[str, Any] = json.loads(brief.to_json())
        self._filling = False
        self.brief = brief
        self.controls = self._make_controls()
        self._answer = ipywidgets.HTML()
        self.widget = ipywidgets.VBox([ipywidgets.VBox(list(self.controls.values())), self._answer])
        for control in self.controls.values():
            control.observe(self._moved, names="value")
        self._show()

    def _make_controls(self) -> dict[str, Any]:
        import ipywidgets

        duty = self._asked["duty"]
        measured = "first_year_steel_loss_um" in duty
        names = ["required_years", *(["first_year_steel_loss_um"] if measured else _AIR)]
        given = {name: duty.get(name, self._usual(duty.get("place"), name)) for name in names}
        places = [(f"{name}: {place['name']}", name) for name, place in self._places.items()]
        wide = {"style": _WIDE, "layout": ipywidgets.Layout(width="min(38rem, 98%)")}
        controls: dict[str, Any] = {}
        controls["place"] = ipywidgets.Dropdown(
            description="place", options=[(_NO_PLACE, ""), *places], value=duty.get("place", ""), **wide
        )
        controls["shelter"] = ipywidgets.Dropdown(
            description="shelter", options=_SHELTERS, value=duty.get("shelter", ""), **wide
        )
        for name in names:
            words, least, greatest, step = _NUMBERS[name]
            usual = [self._usual(place, name) for place in self._places]
            known = [value for value in (given[name], *usual) if value is not None]
            controls[name] = ipywidgets.FloatSlider(
                description=words,
                value=known[0],
                min=min([least, *known]),
                max=max([greatest, *known]),
                step=step,
                readout_format=".1f",
                **wide,
            )
        return controls

    def _usual(self, place: str | None, name: str) -> float | None:
        """What the catalog says of the place."""
        if not place or name not in _AIR:
            return None
        value: float = self._places[place][name]["value"]
        return value

    def _moved(self, change: dict[str, Any]) -> None:
        if self._filling:
            return
        if change["owner"] is self.controls["place"] and change["new"]:
            self._fill_air()
        self._show()

    def _fill_air(self) -> None:
        """Puts the sliders of the atmosphere where the place has them."""
        self._filling = True
        try:
            for name in _AIR:
                if name in self.controls:
                    self.controls[name].value = self._usual(self.controls["place"].value, name)
        finally:
            self._filling = False

    def _duty(self) -> dict[str, Any]:
        """The duty as the controls stand; what is as usual at the place is left to it."""
        duty = dict(self._asked["duty"])
        place = self.controls["place"].value
        for name, control in self.controls.items():
            asked = self._asked["duty"].get(name) if place == self._asked["duty"].get("place", "") else None
            value = _unrounded(control.value, (asked, self._usual(place, name)))
            if value == "" or (value == self._usual(place, name) and asked is None):
                duty.pop(name, None)
            else:
                duty[name] = value
        return duty

    def _show(self) -> None:
        try:
            self.brief = _core.Brief.from_json(json.dumps({**self._asked, "duty": self._duty()}))
            self.ranking = _core.rank(self.brief, self._catalog)
        except _core.OvercoatError as error:
            self._answer.value = f'<p role="alert"><strong>Invalid:</strong> {html.escape(str(error))}</p>'
            return
        self._answer.value = self.ranking.fragment(self._top)

    def _repr_mimebundle_(self, **asked: Any) -> Any:
        """What a notebook shows: the widget, and where nothing runs it the answer as it stands."""
        bundle = self.widget._repr_mimebundle_(**asked)
        return {**bundle, "text/html": self._answer.value}


def _unrounded(value: Any, known: tuple[float | None, ...]) -> Any:
    """A value of a slider, whose front end counts steps and gives 4.999999999999999 for 5."""
    if not isinstance(value, float):
        return value
    near = (k for k in known if k is not None and math.isclose(k, value, rel_tol=1e-9, abs_tol=1e-9))
    return next(near, round(value, 6))


def panel(brief: Brief, catalog: Catalog | None = None, top: int = 6) -> Panel:
    """What if? A panel of the duty of a brief, whose answer follows every slider at once.

    Parameters
    ----------
    brief : Brief
        The inquiry to start from. Its part and wants stay as they are.
    catalog : Catalog, optional
        A catalog of your own.
    top : int
        How many builds to list.

    Returns
    -------
    Panel
        Shown by a notebook; `.brief` and `.ranking` are those of the sliders as they stand.

    Raises
    ------
    ImportError
        ipywidgets is not installed.
    OvercoatError
        The brief itself is refused.
    """
    return Panel(brief, catalog, top)

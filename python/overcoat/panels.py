"""A panel for notebooks: part, duty, wants and prices of a brief, the answer at once.

Needs ipywidgets: `pip install "overcoat[notebook]"`.
"""

from __future__ import annotations

import html
import json
import math
from typing import TYPE_CHECKING, Any

from overcoat import _core
from overcoat._columns import is_number
from overcoat._extras import needs
from overcoat._refusal import catalog_of, how_many, unknown

if TYPE_CHECKING:
    from overcoat._core import Brief, Catalog, Ranking
    from overcoat._swept import CatalogLike

__all__ = ["Panel", "panel"]

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
_WIDE = {"description_width": "12rem"}
# Fields beside the sliders, by section: the words of the industry with the unit; an empty box is not stated.
_FIELDS = {
    "part": {
        "form": "form",
        "base_metal": "base metal",
        "thread": "thread",
        "length_mm": "length under the head [mm]",
        "mass_g": "mass of a piece [g]",
        "surface_dm2": "surface of a piece [dm²]",
        "condition": "surface as it arrives",
        "lot_pieces": "pieces in the lot",
        "safety_critical": "life or limb hangs on it",
    },
    "duty": {
        "handling": "handled",
        "heat_continuous_c": "part temperature, lasting [°C]",
        "heat_peak_c": "part temperature, peak [°C]",
    },
    "wants": {
        "black": "must be black",
        "gloss": "gloss",
        "uniform_shade": "even shade",
        "target_probability": "target probability [0 to 1]",
        "cost_limit_per_thousand": "cost limit per 1,000",
    },
}
_NOT_STATED = "not stated"
_PRICES = {"films": ("price_per_dm2", "dm²"), "treatments": ("price_per_kg", "kg")}


class Panel:
    """Part, duty, wants and prices of a brief beside its answer; a notebook shows it as a cell's last value.

    The place fills the four numbers of the atmosphere. One that is moved away from the place's goes into the
    brief and overrides it there, as `overcoat.rank` would read it from a file; without a place all four do. A
    brief with a measured first-year loss has a slider for that instead. What is written into a box is read as
    in a file, with a unit or without, and rejected in the same words.

    Attributes
    ----------
    brief : Brief
        The brief as the controls stand.
    ranking : Ranking
        Its answer; after a rejection the last one that there was.
    controls : dict of str
        The widget of each field, and `price_of` and `price`; setting `.value` is moving it.
    widget : ipywidgets.Box
        All of it, for your own page.
    """

    brief: Brief
    ranking: Ranking
    controls: dict[str, Any]
    widget: Any

    def __init__(self, brief: Brief, catalog: CatalogLike | None = None, top: int = 6) -> None:
        with needs("notebook", "a panel"):
            import ipywidgets

        self._catalog = catalog_of(catalog) or _core.Catalog.default()
        self._top = how_many(top)
        self.ranking = _core.rank(brief, self._catalog)
        self._known: dict[str, Any] = json.loads(self._catalog.to_json())
        self._places: dict[str, Any] = self._known["places"]
        # of a ranking, since "A4" and "sea" are names of the catalog there
        self._asked: dict[str, Any] = json.loads(self.ranking.to_json())["brief"]
        # prices that were written in, by the kind of entry and its name
        self._prices: dict[tuple[str, str], Any] = {}
        self._filling = False
        self.brief = brief
        duty = self._make_controls()
        groups = {
            "Part": self._make_boxes("part"),
            "Place and duty": {**duty, **self._make_boxes("duty")},
            "Wants": self._make_boxes("wants"),
            "Prices": self._make_prices(),
        }
        self.controls = {name: control for group in groups.values() for name, control in group.items()}
        self._first = {name: control.value for name, control in self.controls.items()}
        self._answer = ipywidgets.HTML(layout=ipywidgets.Layout(flex="1 1 24rem", min_width="0"))
        asked = ipywidgets.Accordion(
            [ipywidgets.VBox(list(group.values())) for group in groups.values()],
            titles=tuple(groups),
            selected_index=1,
            layout=ipywidgets.Layout(flex="0 1 34rem"),
        )
        side_by_side = ipywidgets.Layout(display="flex", flex_flow="row wrap", grid_gap="1rem")
        self.widget = ipywidgets.Box([asked, self._answer], layout=side_by_side)
        for control in self.controls.values():
            control.observe(self._moved, names="value")
        self._show()

    def _make_boxes(self, section: str) -> dict[str, Any]:
        """A list, a check mark or a box for each field of a section beside the sliders."""
        import ipywidgets

        definitions = json.loads(_core.schema("brief"))["$defs"]
        properties = definitions[section.capitalize()]["properties"]
        asked = self._asked.get(section, {})
        metals = [(metal["name"], key) for key, metal in self._known["base_metals"].items()]
        boxes: dict[str, Any] = {}
        for name, words in _FIELDS[section].items():
            look = {"description": words, "style": _WIDE, "layout": ipywidgets.Layout(width="98%")}
            kind = properties[name]
            choices = metals if name == "base_metal" else _choices(kind, definitions)
            if choices:
                options = [(_NOT_STATED, ""), *choices]
                boxes[name] = ipywidgets.Dropdown(options=options, value=asked.get(name, ""), **look)
            elif kind.get("type") == "boolean":
                boxes[name] = ipywidgets.Checkbox(value=asked.get(name, False), **look)
            else:
                given = asked.get(name, "")
                text = given if isinstance(given, str) else json.dumps(given)
                boxes[name] = ipywidgets.Text(
                    value=text, placeholder=_NOT_STATED, continuous_update=False, **look
                )
        return boxes

    def _make_prices(self) -> dict[str, Any]:
        """What is priced, and a box for its price."""
        import ipywidgets

        look = {"style": _WIDE, "layout": ipywidgets.Layout(width="98%")}
        priced = [
            (f"{entry['name']}, per {unit}", f"{kind}.{key}")
            for kind, (field, unit) in _PRICES.items()
            for key, entry in self._known[kind].items()
            if field in entry
        ]
        price_of = ipywidgets.Dropdown(
            description="price of", options=[("prices of the catalog", ""), *sorted(priced)], value="", **look
        )
        price = ipywidgets.Text(description="price", continuous_update=False, **look)
        return {"price_of": price_of, "price": price}

    def _make_controls(self) -> dict[str, Any]:
        import ipywidgets

        duty = self._asked["duty"]
        measured = "first_year_steel_loss_um" in duty
        names = ["required_years", *(["first_year_steel_loss_um"] if measured else _AIR)]
        given = {name: duty.get(name, self._usual(duty.get("place"), name)) for name in names}
        places = [
            (f"{name.replace('_', ' ')}: {place['name']}", name) for name, place in self._places.items()
        ]
        wide = {"style": _WIDE, "layout": ipywidgets.Layout(width="98%")}
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
            if name == "chloride_mg_m2_day" and min(known) > 0:
                # between the hills and the spray lie three decades
                controls[name] = ipywidgets.FloatLogSlider(
                    description=words,
                    value=known[0],
                    min=math.log10(min([0.1, *known])),
                    max=math.log10(max([greatest, *known])),
                    step=0.02,
                    readout_format=".3g",
                    **wide,
                )
                continue
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
        if change["owner"] is self.controls["price_of"]:
            self._fill_price()
        elif change["owner"] is self.controls["price"]:
            kind, _, key = self.controls["price_of"].value.partition(".")
            self._prices[kind, key] = _entered(change["new"])
        self._show()

    def _fill_price(self) -> None:
        """Puts the price of what was chosen into the box."""
        kind, _, key = self.controls["price_of"].value.partition(".")
        self._filling = True
        try:
            known = self._known[kind][key][_PRICES[kind][0]]["value"] if kind else ""
            price = self._prices.get((kind, key), known)
            self.controls["price"].value = price if isinstance(price, str) else json.dumps(price)
        finally:
            self._filling = False

    def _priced(self) -> Catalog:
        """The catalog with the prices that were written in."""
        own: dict[str, Any] = {}
        for (kind, key), price in self._prices.items():
            if not kind:
                raise unknown("price_of", "none chosen", _PRICES, "Choose what the price is of.")
            value = {"value": price, "source": "price_in_panel"}
            own.setdefault(kind, {})[key] = {_PRICES[kind][0]: value}
        if not own:
            return self._catalog
        source = {"firmness": "assumption", "citation": "price written into the panel"}
        document = {"schema": "overcoat.catalog.v1", "name": "prices of the panel"}
        return self._catalog.extended({**document, "sources": {"price_in_panel": source}, **own})

    def _fill_air(self) -> None:
        """Puts the sliders of the atmosphere where the place has them."""
        self._filling = True
        try:
            for name in _AIR:
                if name in self.controls:
                    self.controls[name].value = self._usual(self.controls["place"].value, name)
        finally:
            self._filling = False

    def _section(self, section: str) -> dict[str, Any]:
        """Part, duty or wants as the boxes stand; what was not touched stays as it was asked."""
        fields = dict(self._asked.get(section, {}))
        for name in _FIELDS[section]:
            value = self.controls[name].value
            if value == self._first[name]:
                continue
            if value in ("", False) and not (name == "black" and value is False):
                fields.pop(name, None)
            else:
                fields[name] = value if name == "thread" else _entered(value)
        return fields

    def _duty(self) -> dict[str, Any]:
        """The duty as the controls stand; what is as usual at the place is left to it."""
        duty = self._section("duty")
        place = self.controls["place"].value
        for name in ("place", "shelter", *(name for name in _NUMBERS if name in self.controls)):
            control = self.controls[name]
            asked = self._asked["duty"].get(name) if place == self._asked["duty"].get("place", "") else None
            value = _unrounded(control.value, (asked, self._usual(place, name)))
            if value == "" or (value == self._usual(place, name) and asked is None):
                duty.pop(name, None)
            else:
                duty[name] = value
        return duty

    def _show(self) -> None:
        try:
            asked = {"part": self._section("part"), "duty": self._duty(), "wants": self._section("wants")}
            sections = {name: fields for name, fields in asked.items() if fields or name in self._asked}
            catalog = self._priced()
            self.brief = _core.brief_with_units(json.dumps({**self._asked, **sections}))
            self.ranking = _core.rank(self.brief, catalog)
        except _core.OvercoatError as error:
            self._answer.value = f'<p role="alert"><strong>Error:</strong> {html.escape(str(error))}</p>'
            return
        self._answer.value = self.ranking.fragment(self._top)

    def _repr_mimebundle_(self, **asked: Any) -> Any:
        """What a notebook shows: the widget, and where nothing runs it the answer as it stands."""
        bundle = self.widget._repr_mimebundle_(**asked)
        return {**bundle, "text/html": self._answer.value}


def _entered(value: Any) -> Any:
    """What was written into a box: a number where it is one, else the text, which may have a unit."""
    if not isinstance(value, str):
        return value
    text = value.strip()
    try:
        number = json.loads(text)
    except ValueError:
        return text
    return number if is_number(number) else text


def _choices(kind: dict[str, Any], definitions: dict[str, Any]) -> list[tuple[str, Any]]:
    """The words of a field that has a list of them, each with its value; yes and no where it may be open."""
    if kind.get("type") == ["boolean", "null"]:
        return [("yes", True), ("no", False)]
    references = [kind, *kind.get("anyOf", [])]
    named = [definitions[one["$ref"].rpartition("/")[2]] for one in references if "$ref" in one]
    return [
        (choice["description"].rstrip(".").lower(), choice["const"])
        for definition in named
        for choice in definition.get("oneOf", [])
        if "const" in choice
    ]


def _unrounded(value: Any, known: tuple[float | None, ...]) -> Any:
    """A value of a slider, whose front end counts steps and gives 4.999999999999999 for 5."""
    if not isinstance(value, float):
        return value
    near = (k for k in known if k is not None and math.isclose(k, value, rel_tol=1e-9, abs_tol=1e-9))
    return next(near, round(value, 6))


def panel(brief: Brief, catalog: CatalogLike | None = None, top: int = 6) -> Panel:
    """What if? A panel of part, duty, wants and prices of a brief, whose answer follows at once.

    Parameters
    ----------
    brief : Brief
        The inquiry to start from. What has no control stays as it is.
    catalog : Catalog, dict, str or path, optional
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
        The brief itself is rejected.
    """
    return Panel(brief, catalog, top)

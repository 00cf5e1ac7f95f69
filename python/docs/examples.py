"""Examples of public names whose own words have none; run when the site is built, their output beneath."""

_BRIEF = """import overcoat

brief = overcoat.Brief(
    name="gate",
    part={"form": "bracket", "base_metal": "4.6", "mass_g": 300, "surface_dm2": 2.5},
    duty={"place": "rural", "required_years": 5},
)
"""
_RANKED = f"{_BRIEF}best = overcoat.rank(brief).best\n"
_PAIR = f"""{_BRIEF}black = "steel_4_6 / hot_alkaline"
paint, powder = f"{{black}} / air_dry_paint", f"{{black}} / epoxy_electrocoat + polyester_powder"
"""
_LOG = """import overcoat

part = {"base_metal": "steel_8_8", "treatment": "hot_alkaline", "films": "hard_wax", "place": "rural"}
log = [part | {"years": years, "failed": True} for years in (0.2, 0.5, 0.6)]
"""


def _raised(error: str, code: str) -> str:
    """Code that raises an error, and what the error says."""
    return f"import overcoat\n\ntry:\n    {code}\nexcept overcoat.{error} as error:\n    print(error)\n"


EXAMPLES = {
    "overcoat.Outlook": f"""{_RANKED}outlook = best.outlook
print(f"{{outlook.probability_ok:.0%}} for 5 years, median {{outlook.median_years:.1f}} years")
print(f"{{outlook.survival(10.0):.0%}} for 10 years")
""",
    "overcoat.Cost": f"""{_RANKED}for line, amount, _ in best.cost.lines:
    print(f"{{amount:,.0f}}: {{line}}")
""",
    "overcoat.Finding": f"""{_RANKED}first = best.findings[0]
print(first.message)
print(first.remedy)
""",
    "overcoat.types.FirstShare": f"""{_BRIEF}first = overcoat.rank(brief).truly_first()[0]
print(f"#1 has the highest score in {{first.probability:.0%}} of all cases")
""",
    "overcoat.types.Measurement": f"""import math

{_BRIEF}first = overcoat.rank(brief).what_to_measure().measurements[0]
before, after = math.exp(first.log_sd_before), math.exp(first.log_sd_after)
print(f"spread ×/÷ {{before:.1f}} now, ×/÷ {{after:.1f}} after it")
""",
    "overcoat.types.Wetness": """import overcoat

wetness = overcoat.ClimateRecord.from_csv("demo-data/climate_hourly.csv").wetness()
print(f"{wetness.hours_per_year:.0f} wet hours a year, {wetness.coverage:.0%} of the hours read")
""",
    "overcoat.types.SweptFile": """import tempfile
from pathlib import Path

import overcoat

with tempfile.TemporaryDirectory() as folder:
    done = overcoat.sweep_file("demo-data/sites.csv", Path(folder) / "out.csv", best_only=True)
    print(f"{done.rows} rows, {done.results} results, {done.bad_rows} bad rows")
""",
    "overcoat.types.CabinetCheck": """from overcoat.records import check_cabinet

check = check_cabinet([86, 88, 85, 87], "2")
print(f"{check.mass_loss_g_m2:.1f} g/m² lost; an hour counts as {check.hours_factor:.2f} h")
""",
    "overcoat.types.FieldLog": f"""{_LOG}for update in overcoat.update_field(log, "hard_wax"):
    print(f"{{update.shelter}}: {{update.rows}} parts")
""",
    "overcoat.types.FieldUpdate": f"""{_LOG}(update,) = overcoat.update_field(log, "hard_wax")
median, _ = update.field_factor
print(f"field factor {{median:.1f}} from {{update.rows}} parts")
""",
    "overcoat.types.Backtest": f"""{_LOG}judged = overcoat.backtest(log)
print(f"{{judged.outlook.rows}} parts, {{judged.outlook.failed}} failed")
""",
    "overcoat.types.BacktestScore": f"""{_LOG}score = overcoat.backtest(log).outlook
print(f"{{score.coverage_80:.0%}} of the outcomes in the 80% range, log score {{score.log_score:.2f}}")
""",
    "overcoat.types.BreakEven": f"""{_PAIR}
even = overcoat.break_even(brief, [paint, powder], required_years=(0.5, 20))
for crossing in even.crossings:
    print(f"both score {{crossing.first:.2f}} at {{crossing.at:.1f}} required years")
""",
    "overcoat.types.BreakEvenLine": f"""{_PAIR}line = overcoat.break_even(
    brief, [paint, powder], required_years=(0.5, 20), over={{"chloride_mg_m2_day": [3, 30, 300]}}
)
for point in line.points:
    for crossing in point.crossings:
        print(f"{{point.settings['chloride_mg_m2_day']:.0f}} mg/(m²·d): {{crossing.at:.1f}} years")
""",
    "overcoat.types.Sensitivity": f"""{_PAIR}found = overcoat.sensitivity(brief, paint, points=64)
first = found.tornado[0]
print(f"{{found.words[first.name]}}: {{first.at_low:.1f}} to {{first.at_high:.1f}} years")
""",
    "overcoat.types.Grid": f"""{_PAIR}
table = overcoat.grid(brief, builds=[paint, powder], required_years=[2, 5, 10]).run()
print(len(table["build"]), "results")
""",
    "overcoat.whatif": f"""{_BRIEF}from overcoat.whatif import category_up

air = {{"temperature_c": 11, "relative_humidity_pct": 79, "so2_mg_m2_day": 4, "chloride_mg_m2_day": 20}}
worse = overcoat.grid(
    brief.replace(place=None, **air),
    changes={{"today": None, "a category up": category_up}},
).run(best_only=True)
for change, category in zip(worse["change"], worse["category"]):
    print(f"{{change}}: {{category}}")
""",
    "overcoat.panels.panel": f"""{_BRIEF}from overcoat.panels import panel

controls = panel(brief)  # the last line of a cell of a notebook shows it
controls.controls["required_years"].value = 10
print(controls.ranking.brief.duty.required_years, "years")
""",
    "overcoat.OvercoatError": _raised("OvercoatError", 'overcoat.Brief.from_json("{}")'),
    "overcoat.InvalidValueError": _raised(
        "InvalidValueError", 'overcoat.first_year_loss("steel", 12, 140, 3, 80)'
    ),
    "overcoat.UnknownNameError": _raised(
        "UnknownNameError", 'overcoat.first_year_loss("stel", 12, 79, 3, 80)'
    ),
    "overcoat.DocumentError": _raised("DocumentError", 'overcoat.Brief.from_json("[]")'),
    "overcoat.BuildError": f"""{_BRIEF}
paint_on_wax = {{"treatment": "hot_alkaline", "films": ["hard_wax", "polyester_powder"]}}
try:
    overcoat.rank(brief.replace(wants={{"builds": [paint_on_wax]}}))
except overcoat.BuildError as error:
    print(error)
""",
    "overcoat.TableError": _raised("TableError", "overcoat.time_of_wetness([3.0, 4.0], [92.0])"),
    "overcoat.ExtrapolationWarning": """import warnings

import overcoat

with warnings.catch_warnings(record=True) as seen:
    warnings.simplefilter("always")
    overcoat.first_year_loss("steel", 35, 79, 3, 80)
print(seen[0].message)
""",
}
EXAMPLES["overcoat.panels.Panel"] = EXAMPLES["overcoat.panels.panel"]

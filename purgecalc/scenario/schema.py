"""The JSON Schema of a scenario file, from the same model that reads it."""

from __future__ import annotations

from typing import Any

from purgecalc.scenario.model import Scenario


def json_schema() -> dict[str, Any]:
    """Schema for editors; a single [line] table is allowed beside a list of them."""
    schema = Scenario.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "purgecalc scenario"
    lines = schema["properties"]["line"]
    schema["properties"]["line"] = {"description": lines.pop("description", ""), "anyOf": [{"$ref": "#/$defs/Line"}, lines]}
    for name, key in (("Line", "valve"), ("HeadPart", "check_valve")):
        schema["$defs"][name]["properties"][key]["anyOf"].append({"const": "none"})
    return schema

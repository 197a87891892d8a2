"""What the scenario model says of a key: the table it stands in, its description, its kind and range."""

from __future__ import annotations

from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from purgecalc.scenario.fields import meta_of
from purgecalc.scenario.model import Scenario
from purgecalc.scenario.positions import Path


def model_at(path: Path) -> type[BaseModel] | None:
    """The model that describes the table at ``path``."""
    model: type[BaseModel] = Scenario
    for part in path:
        if isinstance(part, int):
            continue
        info = model.model_fields.get(part)
        if info is None:
            return None
        inner = inner_model(info.annotation)
        if inner is None:
            return None
        model = inner
    return model


def inner_model(annotation: Any) -> type[BaseModel] | None:
    """The table an annotation speaks of, or None for a plain value."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for arg in get_args(annotation):
        found = inner_model(arg)
        if found is not None:
            return found
    return None


def description_of(key: str) -> str:
    """What the model says of a dotted key such as ``line.hose.length``."""
    return str(_field(key).description)


def meta_at(key: str) -> dict[str, Any]:
    """Kind, limits and origin of the default of a dotted key, as ``dim`` put them there."""
    return meta_of(_field(key).json_schema_extra)


def _field(key: str) -> FieldInfo:
    *table, name = key.split(".")
    model = model_at(tuple(table))
    if model is None:
        raise KeyError(key)
    return model.model_fields[name]

"""The building blocks of the scenario model: a field knows its unit, range, default, and where the default comes from."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray
from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    WithJsonSchema,
    field_validator,
)
from pydantic_core import PydanticCustomError, PydanticUndefined

from purgecalc.kinds import KINDS
from purgecalc.units import Measure, UnitProblem, parse, show
from purgecalc.visible import stray
from purgecalc.wording import quoted

Quantity: TypeAlias = Annotated[Measure, WithJsonSchema({"type": "string"})]
"""A dimensioned value, written as text with its unit."""

COMMON = "common practice, no source"
JUDGEMENT = "our judgement"
LONGEST_WORDS = 500
"""Characters of a name, a word or a reason."""


def dim(
    kind: str,
    help: str,
    *,
    default: str | None = "",
    origin: str = "",
    above: float | None = None,
    least: float | None = None,
    below: float | None = None,
    most: float | None = None,
    example: str = "",
    bound: bool = False,
) -> Any:
    """A dimensioned field. Limits are SI. ``default`` is text, None for "may be left out", or "" for required.

    ``origin`` says where the default comes from; ``bound`` accepts a leading "<" as an upper bound.
    """
    meta = {
        "kind": kind,
        "limits": {"above": above, "least": least, "below": below, "most": most},
        "origin": origin,
        "bound": bound,
        "example": example or KINDS[kind].example,
    }
    start: Any = PydanticUndefined if default == "" else default
    return Field(start, description=help, validate_default=default is not None, json_schema_extra=_schema_extra(meta))


def _schema_extra(meta: dict[str, Any]) -> Any:
    def add(schema: dict[str, Any]) -> None:
        schema["examples"] = [meta["example"]]
        schema["x-quantity"] = meta["kind"]
        if meta["origin"] and schema.get("default"):
            schema["x-default-origin"] = meta["origin"]
        if "" in KINDS[meta["kind"]].accepts:
            for option in schema.get("anyOf", [schema]):
                if option.get("type") == "string":
                    option["type"] = ["string", "number"]

    add.meta = meta  # type: ignore[attr-defined]
    return add


def meta_of(extra: Any) -> dict[str, Any]:
    """The facts ``dim`` put on a field, or nothing for an ordinary field."""
    found: dict[str, Any] = getattr(extra, "meta", {})
    return found


def note(help: str, *, default: Any = PydanticUndefined, origin: str = "") -> Any:
    """An ordinary field (choice, name, count) with help and the origin of its default."""

    def add(schema: dict[str, Any]) -> None:
        if origin:
            schema["x-default-origin"] = origin

    add.meta = {"origin": origin} if origin else {}  # type: ignore[attr-defined]
    return Field(default, description=help, json_schema_extra=add)


class Part(BaseModel):
    """A table of the scenario: unknown keys refused, dimensioned fields parsed and range-checked."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        arbitrary_types_allowed=True,
        defer_build=True,
        allow_inf_nan=False,
        str_max_length=LONGEST_WORDS,
    )

    @field_validator("*", mode="before")
    @classmethod
    def _read_quantity(cls, value: Any, info: ValidationInfo) -> Any:
        field = cls.model_fields[info.field_name or ""]
        meta = meta_of(field.json_schema_extra)
        if "kind" not in meta or value is None:
            return value
        return read_quantity(value, meta)


def read_quantity(value: Any, meta: dict[str, Any]) -> Measure:
    """Parse and range-check one value; raises the error pydantic collects."""
    kind, state = meta["kind"], ""
    if meta["bound"] and isinstance(value, str) and value.lstrip().startswith("<"):
        value, state = value.lstrip()[1:], "upper bound"
    try:
        measure = parse(value, kind, meta["example"])
    except UnitProblem as problem:
        raise PydanticCustomError("quantity", "{text}", {"text": str(problem)}) from None
    _check_range(measure, meta)
    return Measure(measure.value, kind, f"< {measure.text}", state) if state else measure


def _bounds(meta: dict[str, Any]) -> list[tuple[float, Callable[[Any], Any], str]]:
    """Limits of a field that are set: bound, test on a value or an array, words."""
    limits = meta["limits"]
    tests: list[tuple[float | None, Callable[[Any], Any], str]] = [
        (limits["above"], lambda v: v > limits["above"], "more than"),
        (limits["least"], lambda v: v >= limits["least"] - 1e-12 * abs(limits["least"]), "at least"),
        (limits["below"], lambda v: v < limits["below"], "less than"),
        (limits["most"], lambda v: v <= limits["most"] + 1e-12 * abs(limits["most"]), "at most"),
    ]
    return [(bound, passes, word) for bound, passes, word in tests if bound is not None]


def outside(values: Any, meta: dict[str, Any]) -> NDArray[np.bool_]:
    """True where a value (SI) is beyond the field's limits, or is not a number."""
    held = [np.asarray(passes(values)) for _, passes, _ in _bounds(meta)]
    return np.asarray(~np.logical_and.reduce([np.isfinite(values), *held]))


def range_text(text: str, state: str, meta: dict[str, Any]) -> str:
    """What is said of a value beyond the limits."""
    kind = "gauge pressure" if state == "gauge" else meta["kind"]
    allowed = " and ".join(f"{word} {show(bound, kind)}" for bound, _, word in _bounds(meta))
    return f'"{text}" is out of range; allowed: {allowed}'


def _check_range(measure: Measure, meta: dict[str, Any]) -> None:
    if not all(passes(measure.value) for _, passes, _ in _bounds(meta)):
        raise PydanticCustomError("range", "{text}", {"text": range_text(measure.text, measure.state, meta)})


def wrong(text: str, key: str = "") -> PydanticCustomError:
    """The error a cross-check raises; ``key`` names the field of the table it is about, if it is about one."""
    return PydanticCustomError("combination", "{text}", {"text": text, "key": key})


FIRST_YEAR, LAST_YEAR = 1990, 2100


def read_day(value: Any) -> date | None:
    """A date written in text or as TOML has it; None for anything else, and for years no plant is worked in."""
    if isinstance(value, str):
        try:
            value = date.fromisoformat(value.strip())
        except ValueError:
            return None
    return value if type(value) is date and FIRST_YEAR <= value.year <= LAST_YEAR else None


_DUTY = re.compile(r"S([1-9])(?:\s*+(?:(\d{1,9}(?:\.\d{1,9})?)\s*+%|(\d{1,9} min)))?")


def read_duty(text: str) -> float:
    """Share of the cycle a duty designation allows: "S1" is 1, "S3 25 %" is 0.25."""
    match = _DUTY.fullmatch(text.strip())
    if match and match[1] == "1" and not match[2]:
        return 1.0
    if match and match[1] in "36" and match[2] and 0 < float(match[2]) <= 100:
        return float(match[2]) / 100
    if match and match[1] == "2":
        raise wrong(f'"{text}" is short-time duty, which is no rating for repeated blasts; give the S3 figure, e.g. "S3 25 %"')
    raise wrong(f'{quoted(text)} is not a duty designation; write "S1" or "S3 25 %" (IEC 60034-1)')


def check_duty(text: str) -> str:
    """The designation itself, where it is one."""
    read_duty(text)
    return text


def written(text: str, allowed: str = "\n\t\u2028\u2029") -> str:
    """Text as it is; refused where it holds what no reader could see. Ends of line and tabs are ``allowed`` or not."""
    found = stray(text, allowed)
    if found:
        what = "control characters" if allowed else "control characters or ends of line"
        raise wrong(f"the text holds {what} ({', '.join(found)}); take them out")
    return text


Name: TypeAlias = Annotated[str, AfterValidator(lambda text: written(text, ""))]
"""What a person calls something: one line, and nothing in it that a screen would obey."""
Reason: TypeAlias = Annotated[str, AfterValidator(written)]
"""Why, in words."""


def _word(value: Any) -> Any:
    """``true`` and ``false`` are taken for yes and no."""
    return ("no", "yes")[value] if isinstance(value, bool) else value


YesNo: TypeAlias = Annotated[Literal["yes", "no"], BeforeValidator(_word)]

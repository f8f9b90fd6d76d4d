"""Refusals as RFC 9457 problem details: what is wrong, field by field."""

from collections.abc import Callable, Coroutine, Sequence
from http import HTTPStatus
from typing import Any

from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import BaseModel
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from webapp.sizing.reasons import SizingError

MEDIA_TYPE = "application/problem+json"
NOT_JSON = "This could not be read as JSON."
JSON_ONLY = "Send JSON, with the content type application/json."


class FieldError(BaseModel):
    """One thing to mend. `field` is empty where the request as a whole is meant."""

    field: str
    message: str


class Problem(BaseModel):
    """What was refused and why."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str
    errors: list[FieldError]


def problem_schema() -> dict[str, Any]:
    """The schema of `Problem` without references, for the description of the calls."""
    schema = Problem.model_json_schema()
    schema["properties"]["errors"]["items"] = schema.pop("$defs")["FieldError"]
    return schema


RESPONSES: dict[int | str, dict[str, Any]] = {
    422: {
        "description": "Refused: each field that is wrong, and why.",
        "content": {MEDIA_TYPE: {"schema": problem_schema()}},
    }
}


def problem(errors: Sequence[FieldError], status: int = 422) -> Response:
    """The refusal as an answer."""
    told = Problem(
        title=HTTPStatus(status).phrase,
        status=status,
        detail=" ".join(_in_words(error) for error in errors[:3]),
        errors=list(errors),
    )
    return JSONResponse(told.model_dump(), status, media_type=MEDIA_TYPE)


def _in_words(error: FieldError) -> str:
    return f"{error.field}: {error.message}" if error.field else error.message


class SizingRoute(APIRoute):
    """A call whose refusals are problem details, whatever refuses: form, value or calculation."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        handle = super().get_route_handler()

        async def answer(request: Request) -> Response:
            if not _is_json(request):
                return problem([FieldError(field="", message=JSON_ONLY)])
            try:
                return await handle(request)
            except RequestValidationError as error:
                return problem([_field_error(each) for each in error.errors()])
            except SizingError as error:
                return problem([FieldError(field=error.field, message=error.message)])
            except HTTPException as error:
                if error.status_code == 413:
                    return problem([FieldError(field="", message="This is too large.")], 413)
                # Text that no JSON reader takes: bad encoding, a number of a thousand digits.
                return problem([FieldError(field="", message=NOT_JSON)])

        return answer


def _is_json(request: Request) -> bool:
    given = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    return given == "application/json" or (
        given.startswith("application/") and given.endswith("+json")
    )


def _field_error(error: dict[str, Any]) -> FieldError:
    """From one of the checker's errors; `loc` begins with `body`."""
    if error["type"] == "json_invalid":
        return FieldError(field="", message=f"{NOT_JSON} {error['ctx']['error']}.")
    field = ".".join(str(part) for part in error["loc"][1:])
    return FieldError(field=field, message=_message(error))


def _message(error: dict[str, Any]) -> str:
    limits = error.get("ctx", {})
    match error["type"]:
        case "missing":
            return "This field is missing." if len(error["loc"]) > 1 else "Send a JSON object."
        case "extra_forbidden":
            return "There is no such field in this call."
        case "float_type" | "float_parsing":
            return "Give a number."
        case "int_type" | "int_parsing" | "int_from_float" | "int_parsing_size":
            return "Give a whole number."
        case "finite_number":
            return "Give a finite number."
        case "string_type":
            return "Give text."
        case "list_type":
            return "Give a list."
        case "model_type" | "model_attributes_type" | "dict_type":
            return "Give a JSON object."
        case "literal_error":
            return f"Choose one of: {limits['expected'].replace(' or ', ', ')}."
        case "greater_than":
            return f"This must be more than {limits['gt']:g}."
        case "greater_than_equal":
            return f"This must not be less than {limits['ge']:g}."
        case "less_than":
            return f"This must be less than {limits['lt']:g}."
        case "less_than_equal":
            return f"This must not be more than {limits['le']:g}."
        case "too_long":
            return f"Give at most {limits['max_length']}."
        case "too_short":
            return f"Give at least {limits['min_length']}."
        case "value_error":
            return str(limits["error"])
        case _:
            return f"{error['msg']}."

"""How a page is asked for: all that it shows is of one moment of the book."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, Request
from fastapi.routing import APIRoute
from starlette.responses import Response

from wheelside.web.frame import desk_of


class PageRoute(APIRoute):
    """A page that is looked at reads the book once; whoever sends something reads what is there as it is kept."""

    def __init__(self, path: str, endpoint: Callable[..., Any], **options: Any) -> None:
        looks = set(options.get("methods") or ()) == {"GET"} and not inspect.iscoroutinefunction(endpoint)
        super().__init__(path, _in_one_moment(endpoint) if looks else endpoint, **options)


def _in_one_moment(page: Callable[..., Response]) -> Callable[..., Response]:
    if "request" not in inspect.signature(page).parameters:
        return page

    @functools.wraps(page)
    def looked_at(*, request: Request, **named: Any) -> Response:
        with desk_of(request).book.one_moment():
            return page(request=request, **named)

    return looked_at


def pages() -> APIRouter:
    """A router for pages."""
    return APIRouter(route_class=PageRoute)

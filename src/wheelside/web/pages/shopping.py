"""What to buy, to try and to book before sets go on."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Request
from starlette.responses import Response

from wheelside.jobs.work.season_ahead import shopping
from wheelside.screens.screen import Screen
from wheelside.screens.shopping import shopping_screen
from wheelside.units import UnitChoice
from wheelside.web.frame import PageFrame, desk_of, frame_of, page
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class ShoppingPage:
    """The list as a screen."""

    frame: PageFrame
    screen: Screen
    units: UnitChoice


@router.get("/shopping")
def shopping_list(request: Request) -> Response:
    """The list for all sets."""
    found = shopping(desk_of(request))
    return page(
        "shopping.html", ShoppingPage(frame_of(request, "/shopping"), shopping_screen(found), found.garage.units.choice)
    )

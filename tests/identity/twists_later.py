"""What the plan's newest rules are about, put into a garage that is being drawn: writing later, wheels of several sets, blanks, proofs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from twists import Row, Twists, columns

FRONT, REAR = "205/55 R16", "225/50 R16"


@dataclass(frozen=True)
class LaterTwists(Twists):
    """Changes the rows of a garage that is drawn in every other respect."""

    def all(self) -> None:
        shares: tuple[tuple[float, Callable[[], None]], ...] = (
            (0.22, self.shared_wheel),
            (0.22, self.pair_until_sale),
            (0.25, self.blanks_of_several_families),
            (0.22, self.silent_blanks),
            (0.20, self.tyres),
        )
        for share, draw in shares:
            if self.chance(share):
                draw()

    # --- a wheel of several sets ----------------------------------------------------------------------------------

    def shared_wheel(self) -> None:
        """Two sets have one wheel in common: a spare, or a road wheel of the one in place of the other's own."""
        sets = [row for row in self.rows["set"] if row["id"] not in ("theirs", "old set")]
        if len(sets) < 2:
            return
        first, second = (columns(row, "wheels") for row in self.random.sample(sets, 2))
        left = str(self.random.choice(list(second.values())))
        if self.named_in_stand_ins(left) or left in first.values():
            return
        corner = next(at for at, wheel in second.items() if wheel == left)
        at, kept = self.random.choice(list(first.items()))
        del second[corner]
        if self.chance(0.7) and "spare" not in second:
            del first[at]
            at, corner = "spare", "spare"
            for car in self.rows["car"]:
                car["spare_counted"] = True if self.chance(0.85) else car.get("spare_counted")
        first[at], second[corner] = kept, kept
        self.rows["wheel"] = [row for row in self.rows["wheel"] if row["id"] != left]
        parts = (f"x{left}", f"y{left}", f"z{left}")
        self.rows["sensor"] = [row for row in self.rows.get("sensor", []) if row["id"] not in parts]

    def named_in_stand_ins(self, wheel: str) -> bool:
        return any(wheel in (row["wheel"], row["instead_of"]) for row in self.rows.get("stand_in", []))

    # --- writing later --------------------------------------------------------------------------------------------

    def pair_until_sale(self) -> None:
        """Two sets of one car carry the same IDs, which its list holds, and teaching it is dear; one of them is sold some day."""
        car = self.watching()
        names = self.sets_of(car) if car else []
        if car is None or len(names) < 2:
            return
        kept, goes = self.random.sample(names, 2)
        wheels = {row["id"]: columns(row, "wheels") for row in self.rows["set"]}
        bits = next((row.get("bits") for row in self.rows["family"] if row["id"] == car["family"]), None)
        for corner, wheel in wheels[kept].items():
            number = self.number()
            pair = {f"x{wheel}", f"x{wheels[goes].get(corner)}"}
            for row in (row for row in self.rows.get("sensor", []) if row["id"] in pair):
                row |= {"sends": number, "family": car["family"], "bits": bits or 32, "answers": None}
                row |= {"writing": "rewritable", "written": None, "at_rest": "silent"}
        car |= {"holds": [{"set": kept}], "remembers_sets": 1, "remembers_ids": None}
        car["taught_by"] = self.pick("locked", "locked", "port")
        if self.chance(0.8):
            for row in (row for row in self.rows["set"] if row["id"] in (kept, goes)):
                row |= {"sold": None, "scrapped": None}
            next(row for row in self.rows["set"] if row["id"] == goes)["sold"] = self.day(date(2027, 1, 1), 300)
        self.rows["writer"] = [{"id": "w", "can": ["given"]}]

    # --- blanks and proofs ----------------------------------------------------------------------------------------

    def blank(self, **more: object) -> None:
        row: Row = {"family": self.random.choice(self.ids("family")), "count": self.pick(1, 1, 2, 3)}
        row |= {"each": self.maybe(0.6, f"{self.random.randint(0, 60)} EUR")} | more
        others = self.rows.setdefault("blank", [])
        self.rows["blank"] = [one for one in others if self.kind(one) != self.kind(row)] + [row]

    @staticmethod
    def kind(row: Row) -> tuple[object, ...]:
        return row["family"], row.get("or_families"), row.get("at_rest")

    def blanks_of_several_families(self) -> None:
        families = self.ids("family")
        if len(families) < 2:
            self.add("family", id="f9", band="433.92 MHz", bits=32, printed="hex", unlike=self.maybe(0.5, families))
            families.append("f9")
        car = self.watching()
        wanted = car["family"] if car and car["family"] else families[0]
        own = self.random.choice([f for f in families if f != wanted])
        self.blank(family=own, or_families=[wanted], at_rest=self.pick(None, None, "transmits"))

    def silent_blanks(self) -> None:
        car = self.watching()
        self.blank(family=(car["family"] if car else None) or self.ids("family")[0], at_rest="silent")

    def tyres(self) -> None:
        """The tyres of each set, of one size, or with another one behind."""
        for row in self.rows["set"]:
            unlike = self.chance(0.6)
            if unlike and len(columns(row, "wheels")) == 2 and "front_right" in columns(row, "wheels"):
                wheels = columns(row, "wheels")
                row["wheels"] = {"rear_left" if at == "front_right" else at: wheel for at, wheel in wheels.items()}
            for at, wheel in columns(row, "wheels").items():
                joined = next(one["joined"] for one in self.rows["wheel"] if one["id"] == wheel)
                assert joined is None or isinstance(joined, list)
                size = REAR if unlike and at.startswith("rear") else FRONT
                if joined and f"t{wheel}" not in self.ids("tyre"):
                    self.add("tyre", id=f"t{wheel}", designation=size)
                    joined[-1]["tyre"] = f"t{wheel}"

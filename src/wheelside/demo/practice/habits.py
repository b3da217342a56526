"""What a unit or an adapter can do wrong on demand, so that a reader can be held against it."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.demo.practice.uds import RESPONSE_PENDING, Reply, refused

AT_ONCE = frozenset({0x10, 0x3E})
"""Services that never want more time."""


@dataclass(frozen=True, slots=True)
class Habits:
    """How a unit behaves beyond its service sheet; with the defaults it behaves.

    `padding` fills frames up to 8 bytes, None sends them short. `st_min`, `block_size` and `waits` are what its flow control says: the
    byte as it is sent, the frames in a block, and how often it says wait first, `wait_s` apart.

    `pending` responses that an answer is still to come go before each answer, `pending_s` apart; the first after `answer_s`.
    Services 10 and 3E are answered without. Numbers of requests and frames count from 1 since the unit was made, 0 is never.
    Numbers of frames count all that a unit sends, flow control too.
    """

    padding: int | None = 0xCC
    st_min: int = 0
    block_size: int = 0
    waits: int = 0
    wait_s: float = 0.1
    capacity: int = 4095
    """How long a request may be; a longer one is told that it overflows."""
    pending: int = 0
    pending_s: float = 0.05
    answer_s: float = 0.005
    answer_twice: bool = False
    ignore_every: int = 0
    """Every nth request is not heard."""
    reset_at: int = 0
    """At this request the unit starts anew: no answer, and the session is lost."""
    drop_frame: int = 0
    repeat_frame: int = 0
    corrupt_frame: int = 0
    corrupt_byte: int = 0
    """Of the frame to be corrupted: the byte whose lowest bit is turned; 0 is the one with the kind and the count."""
    delay_frame: int = 0
    delay_s: float = 0.3
    break_off_at: int = 0
    """The step of teaching after which the unit breaks it off: 3 start, 4 writing; 5 refuses the stop."""
    refuse_write: bool = False
    write_wrong: bool = False
    """Stores the list with the lowest bit of the first ID turned, and says that all is well."""
    begins_once: int = 0
    """With this negative response it refuses to start teaching while that is started already; 0 lets it start anew."""
    keeps_begun: bool = False
    """Leaving the session does not end a teaching."""
    low_supply_mv: int = 0
    """What the supply falls to as soon as teaching has begun; 0 keeps it."""

    def hesitates(self, service: int) -> bool:
        """Whether answers of a service are put off; one that was put off is sent even where it might be left out."""
        return self.pending > 0 and service not in AT_ONCE

    def timed(self, service: int, data: bytes | None) -> tuple[Reply, ...]:
        """An answer with what goes before it, and when."""
        if data is None:
            return ()
        count = self.pending if self.hesitates(service) else 0
        wait = refused(service, RESPONSE_PENDING)
        replies = [Reply(self.answer_s + n * self.pending_s, wait) for n in range(count)]
        last = self.answer_s + count * self.pending_s
        again = [Reply(last + 0.01, data)] if self.answer_twice else []
        return (*replies, Reply(last, data), *again)


@dataclass(frozen=True, slots=True)
class AdapterHabits:
    """How an adapter behaves beyond its command list. Numbers count from 1 since the link was opened, 0 is never."""

    late_s: float = 0.0
    """Every answer comes this much later."""
    echo_stuck: bool = False
    """Says OK to turning the echo off, and goes on echoing."""
    lose_prompt_at: int = 0
    """The command after which no prompt comes."""
    slow_reset: bool = False
    """A reset takes a second and sends rubbish first."""
    searching_first: bool = False
    """Says that it is searching before the first answer from the bus, whatever the protocol."""
    drop_every: int = 0
    """Every nth character that it sends is lost."""
    line_feeds: bool = False
    """Line feeds are on after a reset."""
    spaces: bool = True
    """Spaces are on after a reset."""
    close_at: int = 0
    """The link is closed after this many bytes sent."""
    chunk: int = 0
    """Sends pieces of this many bytes, `chunk_s` apart."""
    chunk_s: float = 0.005
    full_after: int = 0
    """How many lines of one answer fit its memory before it says BUFFER FULL."""
    can_error_at: int = 0
    """The request to the bus at which it says CAN ERROR."""
    rx_error_at: int = 0
    """The request to the bus whose first line ends in <RX ERROR."""
    flow_for_obd_only: bool = False
    """In flow control mode 0 it answers first frames from 7E8 to 7EF only."""

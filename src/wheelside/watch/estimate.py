"""Does a tyre lose air, since when, and how fast: chances and intervals, from what readings say and what is taken before them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from wheelside.watch.line import Candidates, Reduced
from wheelside.watch.prior import LEAK_LEAST, LEAKING_AT_FIRST, LEAKS_PER_YEAR, Mixture, leak_parts, normal_loss_parts

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats, Ints

_FIRST, _SECOND = [0, 0, 1], [1, 2, 2]


@dataclass(frozen=True, slots=True)
class Losses:
    """What may be so of one wheel of c cars: (h, c) weights, means and standard deviations of its loss now, kPa a month.

    They sum to one a car. `leaks`: (h,) whether it is one with a leak that goes on; `month`: (h,) since when, not a number for none.
    """

    weight: Floats
    mean: Floats
    sd: Floats
    leaks: Floats
    month: Floats

    @property
    def chance(self) -> Floats:
        """The chance that the wheel leaks: (c,)."""
        found: Floats = self.weight[self.leaks > 0].sum(axis=0)
        return found

    def mean_loss(self) -> Floats:
        """The loss that is expected: (c,)."""
        found: Floats = (self.weight * self.mean).sum(axis=0)
        return found

    def below(self, rate: Floats) -> Floats:
        """The chance that the loss is below a rate, (c,) in and out."""
        from scipy.special import ndtr

        found: Floats = (self.weight * ndtr((rate[None, :] - self.mean) / self.sd)).sum(axis=0)
        return found

    def quantile(self, share: float) -> Floats:
        """The rate below which the loss lies with that chance: (c,). By halving, to a thousandth of a kPa a month."""
        import numpy as np

        low, high = (self.mean - 8 * self.sd).min(axis=0), (self.mean + 8 * self.sd).max(axis=0)
        while float((high - low).max()) > 1e-3:
            middle = (low + high) / 2
            less = self.below(middle) < share
            low, high = np.where(less, middle, low), np.where(less, high, middle)
        found: Floats = (low + high) / 2
        return found


def losses(r: Reduced, c: Candidates, wheel: int, leak: Mixture | None = None) -> Losses:
    """What may be so of one wheel, which must have been read twice at least. `leak`: how fast leaks are, where that is known better."""
    import numpy as np

    k = np.flatnonzero(c.wheel == wheel)
    normal, leak = normal_loss_parts(), leak or leak_parts()
    sound = _sound(r, int(k[0]), normal)
    found = _leaking(r, c, k, leak)
    log_weight = np.concatenate([sound[0], found[0]])
    weight = np.exp(log_weight - log_weight.max(axis=0))
    parts, none = len(normal.mean) * len(leak.mean), len(normal.mean)
    months, going_on = np.repeat(c.month[k], parts), np.repeat(np.isinf(c.until[k]), parts)
    return Losses(
        weight / weight.sum(axis=0), np.concatenate([sound[1], found[1]]), np.concatenate([sound[2], found[2]]),
        np.concatenate([np.zeros(none), going_on.astype(float)]), np.concatenate([np.full(none, np.nan), months]),
    )  # fmt: skip


def _before(c: Candidates, k: Ints) -> Floats:
    """How likely each candidate of a wheel is before anything is read."""
    import numpy as np

    found: Floats = np.where(c.first[k] > 0, LEAKING_AT_FIRST, LEAKS_PER_YEAR / 12 * np.maximum(c.width[k], 1e-6))
    return found


def _sound(r: Reduced, k: int, normal: Mixture) -> tuple[Floats, Floats, Floats]:
    """A sound tyre: for each part of the normal loss the logarithm of its weight, its mean and its deviation, (p, c)."""
    import numpy as np

    prior = normal.sd**-2
    precision = (r.s[k, 0, 0] + prior)[:, None]
    vector = r.h[k, 0][None, :] + (prior * normal.mean)[:, None]
    at_prior = np.log(normal.weight) + 0.5 * (np.log(prior) - prior * normal.mean**2)
    log_weight = at_prior[:, None] + 0.5 * (vector**2 / precision - np.log(precision))
    return log_weight, vector / precision, np.broadcast_to(precision**-0.5, vector.shape)


def _leaking(r: Reduced, c: Candidates, k: Ints, leak: Mixture) -> tuple[Floats, Floats, Floats]:
    """A leaking tyre: the same for each candidate, part of the normal loss and part of the leak, (k p q, c).

    A leak began somewhere within its candidate's width, each moment as likely: taken as a bell curve of the same spread.
    """
    import numpy as np

    normal = normal_loss_parts()
    late = leak.mean[None, :] * np.maximum(c.width[k], 1e-5)[:, None] / 12**0.5
    prior = ((normal.sd**-2)[None, :, None], (leak.sd**-2)[None, None, :], (late**-2)[:, None, :])
    means = (normal.mean[None, :, None], leak.mean[None, None, :])
    of, logdet = _inverses(r.s[k], prior)
    pull = tuple(of[0, n] * (prior[0] * means[0]) + of[1, n] * (prior[1] * means[1]) for n in range(3))
    before = np.log(_before(c, k))[:, None, None] + np.log(normal.weight)[None, :, None] + np.log(leak.weight)
    before = before + 0.5 * (np.log(prior[0]) + np.log(prior[1]) + np.log(prior[2]) - logdet)
    for x in range(2):
        before = before + 0.5 * prior[x] * means[x] * (pull[x] - means[x])
    h = r.h[k]  # (k, 3, c): the squares and products of its rows are what the weights hang on, besides the rows
    products = np.concatenate([0.5 * h * h, h[:, _FIRST] * h[:, _SECOND], h], axis=1)
    parts, cars = before.shape[1] * before.shape[2], h.shape[-1]
    of_products = np.stack([of[0, 0], of[1, 1], of[2, 2], of[0, 1], of[0, 2], of[1, 2], *pull], axis=-1)
    log_weight = of_products.reshape(len(k), parts, 9) @ products + before.reshape(len(k), parts, 1)
    log_weight = log_weight + _only_losses(of, pull, h, np.maximum(c.width[k], 1e-5))
    going_on = np.isinf(c.until[k]).astype(float)[:, None, None]
    mean, variance = _along(of, pull, h, (np.ones_like(going_on), going_on, np.zeros_like(going_on)))
    sd = np.broadcast_to(variance.reshape(-1, 1) ** 0.5, (len(k) * parts, cars))
    return log_weight.reshape(-1, cars), mean.reshape(-1, cars), sd


Parts: TypeAlias = "Mapping[tuple[int, int], Floats]"
"""The six entries of symmetric 3 by 3 matrices, each over candidates, parts of the normal loss and parts of the leak."""


def _inverses(s: Floats, prior: tuple[Floats, Floats, Floats]) -> tuple[Parts, Floats]:
    """The inverses of information (k, 3, 3) with a prior's own on its diagonal, by cofactors, and the logarithms of its determinants."""
    import numpy as np

    a = {(i, j): s[:, i, j, None, None] + (prior[i] if i == j else 0.0) for i in range(3) for j in range(i, 3)}
    cofactor = {
        (0, 0): a[1, 1] * a[2, 2] - a[1, 2] ** 2, (0, 1): a[0, 2] * a[1, 2] - a[0, 1] * a[2, 2],
        (0, 2): a[0, 1] * a[1, 2] - a[0, 2] * a[1, 1], (1, 1): a[0, 0] * a[2, 2] - a[0, 2] ** 2,
        (1, 2): a[0, 1] * a[0, 2] - a[0, 0] * a[1, 2], (2, 2): a[0, 0] * a[1, 1] - a[0, 1] ** 2,
    }  # fmt: skip
    det = a[0, 0] * cofactor[0, 0] + a[0, 1] * cofactor[0, 1] + a[0, 2] * cofactor[0, 2]
    inverse = {ij: one / det for ij, one in cofactor.items()}
    return inverse | {(j, i): one for (i, j), one in inverse.items()}, np.log(det)


def _along(of: Parts, pull: tuple[Floats, ...], h: Floats, towards: tuple[Floats, ...]) -> tuple[Floats, Floats]:
    """The means, (k, p q, c), and variances, (k, p q, 1), of a sum of the three: `towards`, (k, 1, 1) each, says how much of each."""
    import numpy as np

    line = tuple(sum(of[i, j] * towards[j] for j in range(3)) for i in range(3))
    shape = (h.shape[0], pull[0].shape[1] * pull[0].shape[2])
    at_prior = sum(pull[i] * towards[i] for i in range(3))
    variance = sum(line[i] * towards[i] for i in range(3))
    mean = np.stack(line, axis=-1).reshape(*shape, 3) @ h + np.reshape(at_prior, (*shape, 1))
    return mean, np.reshape(variance, (*shape, 1))


def _only_losses(of: Parts, pull: tuple[Floats, ...], h: Floats, width: Floats) -> Any:
    """The logarithm of how much of each bell curve is a leak: of 4 kPa a month or more, and none that lets air in at first: (k, p q, c)."""
    import numpy as np
    from scipy.special import log_ndtr

    total: Any = 0.0
    none, all_of = np.zeros((len(width), 1, 1)), np.ones((len(width), 1, 1))
    leak, at_first = (none, all_of, none), (none, width[:, None, None] / 2, -all_of)
    for towards, least in ((leak, LEAK_LEAST), (at_first, 0.0)):
        mean, variance = _along(of, pull, h, towards)
        total = total + log_ndtr((mean - least) / variance**0.5)
    return total

"""Exact inference in Bayesian networks by pyagrum, in a process of its own, for it does not live beside some of the other libraries.

Reads from its standard input a list of networks as JSON: `nodes`, each with `name`, `size`, `parents` by name and `table`, a list of parents'
values and the chances then; `evidence`, weights by name; `asked`, a name. Prints a list of the asked nodes' chances.
"""

from __future__ import annotations

import json
import sys
from typing import Any

import pyagrum

gum: Any = pyagrum


def chances(network: dict[str, Any]) -> list[float]:
    """The chances of the values of the node that is asked for."""
    net = gum.BayesNet()
    for node in network["nodes"]:
        net.add(gum.RangeVariable(node["name"], "", 0, node["size"] - 1))
        for parent in node["parents"]:
            net.addArc(parent, node["name"])
        for values, row in node["table"]:
            net.cpt(node["name"])[dict(zip(node["parents"], values, strict=True))] = row
    asked = gum.LazyPropagation(net)
    asked.setEvidence(network["evidence"])
    asked.makeInference()
    return list(asked.posterior(network["asked"]).tolist())


if __name__ == "__main__":
    json.dump([chances(network) for network in json.load(sys.stdin)], sys.stdout)

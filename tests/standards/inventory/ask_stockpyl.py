"""Ask the library for what `test_lot_size` and `test_reorder` check: writes `stockpyl.json`, figures only.

stockpyl 1.0.2 (MIT) brings fifty packages and four hundred megabytes, so it is not installed with the tests. In an environment
of its own: `pip install stockpyl==1.0.2`, then `python -m tests.standards.inventory.ask_stockpyl`. The cases are drawn here, the
same each time; a difference in the file is a difference in the library.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

HERE = Path(__file__).with_name("stockpyl.json")


def cases(draw: Random) -> Iterator[tuple[str, list[Any]]]:
    """Names of the library's functions with arguments, in its order."""

    def some(low: float, high: float) -> float:
        return round(draw.uniform(low, high), 3)

    def breaks() -> list[list[float]]:
        starts = sorted(draw.sample(range(5, 1500), draw.randint(1, 3)))
        prices = sorted({some(0.5, 40) for _ in range(len(starts) + 1)}, reverse=True)
        return [[0, *starts][: len(prices)], prices]

    for _ in range(15):
        yield "eoq.economic_order_quantity", [some(1, 60), some(0.01, 20), some(1, 3000)]
        yield "eoq.economic_order_quantity_with_backorders", [some(1, 60), some(0.01, 5), some(0.5, 20), some(1, 3000)]
    for _ in range(25):
        order_cost, rate, demand = some(1, 200), some(0.05, 0.5), some(10, 3000)
        starts, prices = breaks()
        yield "eoq.economic_order_quantity_with_all_units_discounts", [order_cost, rate, demand, starts, prices]
        yield "eoq.economic_order_quantity_with_incremental_discounts", [order_cost, rate, demand, starts, prices]
    for _ in range(20):
        needs = [draw.choice([0, draw.randint(1, 300)]) for _ in range(draw.randint(1, 14))]
        yield "wagner_whitin.wagner_whitin", [len(needs), some(0.05, 3), some(5, 600), needs]
        goods = draw.randint(1, 6)
        own, holding, demand = (
            [some(low, high) for _ in range(goods)] for low, high in ((0.5, 900), (1, 200), (1, 50))
        )
        yield "eoq.joint_replenishment_problem_silver_heuristic", [some(1, 800), own, holding, demand]
    for _ in range(15):
        holding, short, order_cost = some(0.1, 2), some(5, 20), some(2, 30)
        demand, spread, lead = some(200, 2000), some(20, 200), some(0.02, 0.3)
        costs = [holding, short, order_cost, demand, spread, lead]
        quantity = some(20, 400)
        yield "rq.r_q_cost", [some(0, 400), quantity, *costs]
        yield "rq.r_q_optimal_r_for_q", [quantity, holding, short, demand, spread, lead]
        yield "rq.r_q_eil_approximation", costs
        yield "rq.r_q_eoqb_approximation", costs
        yield "rq.r_q_eoqss_approximation", costs
        yield "rq.r_q_loss_function_approximation", costs
        yield "loss_functions.standard_normal_loss", [some(-4, 4)]
        yield "loss_functions.standard_normal_second_loss", [some(-4, 4)]


def plain(value: Any) -> Any:
    """Numbers of the library's own kinds as plain ones."""
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    return value.tolist() if hasattr(value, "tolist") else value


def main() -> None:
    # Only here: the tests are collected where the library is not installed.
    from importlib import import_module

    asked = []
    for name, arguments in cases(Random(2019)):  # noqa: S311 - cases, not secrets
        module, function = name.split(".")
        call: Callable[..., Any] = getattr(import_module(f"stockpyl.{module}"), function)
        answer = plain(call(*arguments))
        # The rest of this one are the steps it took.
        asked.append([name, arguments, answer[:2] if module == "wagner_whitin" else answer])
    HERE.write_text("[\n" + ",\n".join(json.dumps(each) for each in asked) + "\n]\n", "utf-8")


if __name__ == "__main__":
    main()

import math

import pytest
from scipy import stats

from logbook.energy.student_t import normal_below, t_quantile, t_tail

# 97.5 % quantiles as printed in every table of the t distribution (e.g. NIST/SEMATECH e-Handbook, 1.3.6.7.2); more digits
# computed with scipy and frozen here.
TABLE = {
    1: 12.7062047362,
    2: 4.3026527297,
    5: 2.5705818356,
    10: 2.2281388520,
    30: 2.0422724563,
    120: 1.9799304051,
}


@pytest.mark.parametrize(("degrees", "value"), TABLE.items())
def test_quantiles_agree_with_the_printed_table(degrees: int, value: float) -> None:
    assert t_quantile(0.975, degrees) == pytest.approx(value, rel=1e-10)


@pytest.mark.parametrize("degrees", [1, 1.5, 3, 7, 29, 300, 1000])
@pytest.mark.parametrize("probability", [1e-6, 0.01, 0.3, 0.4999, 0.5, 0.5001, 0.9, 0.95, 0.999, 1 - 1e-9])
def test_quantiles_agree_with_scipy(degrees: float, probability: float) -> None:
    assert t_quantile(probability, degrees) == pytest.approx(
        stats.t.ppf(probability, degrees), rel=1e-8, abs=1e-9
    )


def test_infinitely_many_degrees_are_the_normal_distribution() -> None:
    assert t_quantile(0.95, math.inf) == pytest.approx(1.6448536269514722, rel=1e-12)
    assert t_tail(-1.0, 5) == 0.5
    assert normal_below(1.6448536269514722) == pytest.approx(0.95, rel=1e-12)


@pytest.mark.parametrize(("probability", "degrees"), [(0, 5), (1, 5), (0.9, 0), (0.9, -1)])
def test_an_impossible_question_is_refused(probability: float, degrees: float) -> None:
    with pytest.raises(ValueError, match="probability between 0 and 1"):
        t_quantile(probability, degrees)

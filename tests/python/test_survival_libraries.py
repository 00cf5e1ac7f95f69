"""Fits of censored records against lifelines, on published data sets that it ships, and against scipy.

lifelines stops some 1e-5 from the top of the likelihood; roots of the score by scipy show who is nearer.
"""

import warnings

import numpy as np
import pytest
from scipy import optimize, stats

import overcoat

lifelines = pytest.importorskip("lifelines")

from lifelines import datasets  # noqa: E402

# name (origins from memory): loader, column of durations, column of what was observed
RIGHT_CENSORED = {
    "Waltons": (datasets.load_waltons, "T", "E"),
    "Rossi et al. 1980, arrests": (datasets.load_rossi, "week", "arrest"),
    "Loprinzi et al. 1994, lung": (datasets.load_lung, "time", "status"),
    "Freireich et al. 1963, leukemia": (datasets.load_leukemia, "t", "status"),
    "Kardaun 1983, larynx": (datasets.load_larynx, "time", "death"),
    "Schumacher et al. 1994, GBSG 2": (datasets.load_gbsg2, "time", "cens"),
    "Klein & Moeschberger, kidneys": (datasets.load_kidney_transplant, "time", "death"),
    "Cheibub et al. 2010, regimes": (datasets.load_dd, "duration", "observed"),
    "Canadian senators": (datasets.load_canadian_senators, "diff_days", "observed"),
    "lymphoma": (datasets.load_lymphoma, "Time", "Censor"),
    "Grana et al. 2002, glioma": (datasets.load_g3, "time", "event"),
    "Klein & Moeschberger, psychiatric": (datasets.load_psychiatric_patients, "T", "C"),
}


def columns(name):
    load, duration, observed = RIGHT_CENSORED[name]
    frame = load()
    hours = frame[duration].to_numpy(dtype=float)
    failed = frame[observed].to_numpy().astype(bool)
    return hours[hours > 0], failed[hours > 0]


def lognormal_root(hours, failed):
    """Median and spread where both derivatives of the logarithm of the likelihood vanish."""
    y = np.log(hours)

    def score(parameters):
        mu, ln_sigma = parameters
        z = (y - mu) / np.exp(ln_sigma)
        hazard = np.exp(stats.norm.logpdf(z) - stats.norm.logsf(z))
        pull = np.where(failed, z, hazard)
        return [pull.sum(), np.where(failed, z * z - 1, hazard * z).sum()]

    found = optimize.root(score, [y.mean(), np.log(y.std())], method="hybr", options={"xtol": 1e-14})
    mu, ln_sigma = found.x
    return np.exp(mu), np.exp(ln_sigma)


def weibull_root(hours, failed):
    """Median and shape from the one equation of the shape."""
    y = np.log(hours) - np.log(hours).max()

    def equation(shape):
        weight = np.exp(shape * y)
        return 1 / shape + y[failed].mean() - (weight * y).sum() / weight.sum()

    shape = optimize.brentq(equation, 1e-3, 1e3, xtol=1e-14, rtol=1e-15)
    scale = (np.exp(shape * y).sum() / failed.sum()) ** (1 / shape) * hours.max()
    return scale * np.log(2) ** (1 / shape), shape


@pytest.mark.parametrize("name", RIGHT_CENSORED)
@pytest.mark.parametrize("distribution", ["lognormal", "weibull"])
def test_right_censored_fits(name, distribution):
    hours, failed = columns(name)
    ours = overcoat.fit_records(hours, failed, distribution=distribution)
    theirs = lifelines.LogNormalFitter() if distribution == "lognormal" else lifelines.WeibullFitter()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of approximations that lifelines makes of its errors
        theirs.fit(hours, failed)
    scale = ours.log_sd if distribution == "lognormal" else ours.weibull_shape
    their_scale = theirs.sigma_ if distribution == "lognormal" else theirs.rho_
    assert ours.median_hours == pytest.approx(theirs.median_survival_time_, rel=1e-4)
    assert scale == pytest.approx(their_scale, rel=1e-4)
    # a top no lower than theirs
    assert ours.criteria[0] >= theirs.log_likelihood_ - 1e-9 * abs(theirs.log_likelihood_)
    root = (lognormal_root if distribution == "lognormal" else weibull_root)(hours, failed)
    assert (ours.median_hours, scale) == pytest.approx(root, rel=1e-8)


@pytest.mark.parametrize("distribution", ["lognormal", "weibull"])
def test_interval_censored_fits(distribution):
    """Onset of nephropathy in 731 diabetics between two visits, 81% of them known exactly."""
    frame = datasets.load_diabetes()
    theirs = lifelines.LogNormalFitter() if distribution == "lognormal" else lifelines.WeibullFitter()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs.fit_interval_censoring(frame["left"], frame["right"])
    exact = (frame["left"] == frame["right"]).to_numpy()
    until = np.where(exact, np.nan, frame["right"])
    ours = overcoat.fit_records(
        frame["left"].to_numpy(float), np.ones(len(frame), bool), until, distribution=distribution
    )
    assert ours.median_hours == pytest.approx(theirs.median_survival_time_, rel=1e-4)
    assert ours.criteria[0] >= theirs.log_likelihood_ - 1e-9 * abs(theirs.log_likelihood_)

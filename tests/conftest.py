"""Settings that every test shares."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "fullturn", derandomize=True, deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fullturn")

"""Property tests judge answers, not seconds: a busy machine is no failure."""

from hypothesis import HealthCheck, settings

settings.register_profile("rules", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("rules")

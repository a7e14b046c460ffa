"""Gauge readings: imagined copies of this car, what each would show, and how well that fits what was read."""

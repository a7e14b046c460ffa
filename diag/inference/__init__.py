"""Probability over fault combinations, the next safe check and the reasons: pure functions of model and evidence."""

"""Legs, wind, need, reserve, points and the verdict."""

"""The screens: one question each, answered at a glance, with the figures behind it on demand."""

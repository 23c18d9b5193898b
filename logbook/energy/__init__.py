"""What flying costs: capacity, rates, forecasts, cycles, life. Pure functions."""

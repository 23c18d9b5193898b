"""A pilot's logbook for battery-electric light aeroplanes."""

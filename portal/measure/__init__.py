"""From drawn points and a scale to characteristics with their uncertainty; pure functions, no disk."""

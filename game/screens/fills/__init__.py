"""The fills of a player: written, varied, played in, kept and asked of others."""

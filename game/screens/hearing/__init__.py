"""What every page shares on which something is heard: the loudspeaker, the mark that follows it, the choices."""

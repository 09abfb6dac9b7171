"""What every page shares that plays a bar or takes answers to one."""

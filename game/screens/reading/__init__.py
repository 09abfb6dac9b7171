"""From the page to the ear: notation first, then bars to choose from; and charts, followed or played along."""

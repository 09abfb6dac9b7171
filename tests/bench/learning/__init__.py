"""The coach against simulated learners: how quickly they learn, and how true the forecasts are."""

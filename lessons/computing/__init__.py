"""The forms of the workbench, and the computations behind them."""

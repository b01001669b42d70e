"""What a plain script would do with a log: limits of individuals, moving ranges and CUSUM of six
series, one page each, in one PDF. No ledger, no rules, no words.

    chart_set.py LOG PDF
"""
import sys

import matplotlib

matplotlib.use("pdf")
import matplotlib.pyplot as plt
import numpy as np
import pandas as pd
from matplotlib.backends.backend_pdf import PdfPages

log = pd.read_csv(sys.argv[1])
log["at"] = pd.to_datetime(log["date"] + " " + log["time"])
log["day"] = log["at"].dt.normalize()
log["energy_ratio"] = log["energy_mj"] / log["target_mj"]
log["tracker_radial"] = np.hypot(log["offset_x_um"], log["offset_y_um"])

with PdfPages(sys.argv[2]) as pdf:
    for name in ["energy_ratio", "energy_sd_pct", "offset_x_um", "offset_y_um", "tracker_radial", "hv_kv"]:
        point = log.groupby("day")[name].mean()
        base = point.iloc[:60]
        centre = base.mean()
        sigma = base.diff().abs().mean() / (2 / np.sqrt(np.pi))
        ranges = point.diff().abs()
        z = ((point - centre) / sigma).to_numpy()
        high, low = np.zeros(len(z)), np.zeros(len(z))
        for i in range(len(z)):
            high[i] = max(0.0, (high[i - 1] if i else 0.0) + z[i] - 0.5)
            low[i] = max(0.0, (low[i - 1] if i else 0.0) - z[i] - 0.5)
        page, (top, middle, bottom) = plt.subplots(3, 1, figsize=(11.69, 8.27), sharex=True)
        top.plot(log["at"], log[name], ",", color="grey")
        top.plot(point.index, point, lw=0.5)
        for level in (centre - 3 * sigma, centre, centre + 3 * sigma):
            top.axhline(level)
        middle.plot(point.index, ranges, lw=0.5)
        bottom.plot(point.index, high, lw=0.5)
        bottom.plot(point.index, -low, lw=0.5)
        top.set_title(name)
        pdf.savefig(page)
        plt.close(page)

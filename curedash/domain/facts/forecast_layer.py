"""The numbers of the layer that weighs the drying body and the plain laws on one piece.

Learned offline from the published logs, from the first two thirds of each set of weigh-in series
(households and pieces whose number leaves 0 or 1 when divided by 3; tests/data/series) and, for the
chance of stalling, from pieces of our own (tests/bench/other_laws.py, seed 1, and humid.py).
Each input is taken as (value - mean) / spread. Each network: rows of the hidden layer, then rows of
the outputs, the last number of a row its constant. Outputs: five weights (body, even rate,
diffusion, rim, limit; softmax), a shift, the logarithms of the two half-widths, and the chance of
stalling (logistic).
"""

# fmt: off
INPUTS = (
    "log days left by an even rate, over the body's", "by diffusion", "by a closing rim",
    "by a limit", "log likelihood by an even rate, under the best", "by diffusion",
    "by a closing rim", "by a limit",
    "spread of log days left by diffusion", "by a closing rim", "by a limit",
    "chance that the limit lies short", "chance that the body stays short",
    "lower half-width of the body [log]", "upper half-width of the body [log]",
    "share of the way", "target loss", "loss now", "log days since hanging", "log weigh-ins",
    "log days between weigh-ins", "log spread of a weigh-in over the loss",
    "log spread of a weigh-in over what is left to lose", "log days left by the body",
    "log recent rate over the whole", "thickness known", "log thickness over 70 mm", "in a bag",
    "air known", "log (1 + finished lots)",
)
MEANS = (
    -0.6889, -0.3628, 0.1397, -0.03538, -2.306, -1.133, -0.3796, -0.5108, 0.1889, 0.3678, 0.2621,
    0.3555, 0.02063, 0.4578, 0.4229, 0.6478, 0.3254, 0.2106, 2.951, 1.897, 1.262, -4.508, -3.708,
    3.111, -0.3653, 0.7045, 0.03505, 0.4441, 0.2354, 0.2147,
)
SPREADS = (
    0.3307, 0.3675, 0.3303, 0.2827, 2.408, 1.771, 0.616, 0.8693, 0.158, 0.2248, 0.07803, 0.2701,
    0.1134, 0.2592, 0.1664, 0.201, 0.06029, 0.07595, 0.8181, 0.6878, 0.7184, 0.8841, 1.236,
    1.125, 0.3276, 0.4563, 0.2585, 0.4969, 0.4243, 0.5429,
)
NETS = (
    (
        (
            (-0.065, 0.038, 0.002, 0.027, 0.078, 0.029, 0.043, -0.103, -0.004, 0.05, -0.165,
             0.094, -0.239, 0.05, -0.076, -0.019, 0.293, 0.203, -0.081, -0.097, -0.041, -0.091,
             0.075, -0.397, 0.161, 0.127, 0.039, 0.124, 0.314, 0.272, 0.591),
            (0, 0.051, -0.076, 0.039, -0.055, 0.001, 0.06, -0.024, -0.042, -0.201, 0.017, -0.01,
             0.001, -0.16, -0.266, -0.06, 0.06, -0.006, -0.086, -0.167, 0.053, -0.125, -0.18,
             -0.047, 0.171, -0.05, 0.19, 0.01, 0.134, 0.107, 0.165),
            (0.008, -0.06, -0.148, 0.066, 0.071, -0.053, 0.153, 0.068, -0.011, 0.063, -0.012,
             -0.145, -0.044, -0.03, -0.154, -0.182, 0.009, 0.034, -0.24, -0.144, -0.038, -0.105,
             -0.007, -0.216, 0.244, -0.023, 0.054, -0.098, 0.169, 0.037, 0.866),
            (0.058, 0.078, -0.024, 0.099, -0.09, 0.066, 0.15, -0.089, -0.066, -0.124, -0.05,
             0.023, -0.194, -0.058, -0.207, -0.069, -0.07, 0.11, -0.235, 0.09, -0.286, -0.127,
             -0.13, -0.149, 0.122, 0.028, -0.065, 0.038, 0.055, 0.015, 0.098),
            (-0.18, -0.045, 0.082, -0.184, 0.071, 0.053, 0.052, -0.032, 0.061, -0.053, -0.198,
             -0.258, -0.199, -0.096, -0.05, 0.106, -0.229, -0.01, -0.219, -0.186, -0.096, -0.199,
             0.031, -0.368, 0.172, -0.083, -0.015, 0.061, 0.024, 0.042, 1.422),
            (0.346, 0.05, 0.012, 0.252, -0.055, -0.184, 0.113, 0.168, -0.208, 0.038, 0.116,
             -0.078, 0.105, -0.017, 0.304, -0.074, -0.12, -0.104, 0.088, 0.09, 0.033, 0.153,
             -0.16, 0.099, -0.084, -0.009, -0.078, -0.138, -0.24, -0.114, -0.928),
            (-0.069, -0.269, 0, -0.121, -0.009, 0.062, 0.187, 0.096, -0.073, 0.005, -0.001,
             -0.021, -0.123, -0.053, -0.055, 0.023, -0.115, -0.078, -0.183, 0.099, -0.414, -0.11,
             0.018, -0.176, -0.038, -0.121, -0.192, -0.03, 0.051, 0.007, 0.304),
            (-0.049, 0.084, 0.12, -0.033, 0.042, 0.149, 0.152, -0.031, 0.012, 0.059, -0.252,
             -0.257, -0.145, 0.049, 0.085, -0.006, 0.032, 0.14, -0.223, -0.106, -0.099, -0.119,
             0.085, -0.367, 0.055, -0.091, 0.077, 0.148, 0.22, 0.069, 0.993),
        ),
        (
            (0.168, 0.189, 0.053, -0.089, 0.051, -0.018, 0.035, -0.127, 1.164),
            (-0.213, -0.077, 0.007, -0.038, -0.025, 0.013, -0.136, 0.059, 0.671),
            (0.062, -0.094, -0.007, 0.14, 0, -0.032, 0.106, 0.086, 0.547),
            (0.012, -0.009, -0.037, 0.009, -0.011, 0.003, 0.022, -0.016, -1.113),
            (-0.022, -0.014, -0.019, -0.023, -0.019, 0.032, -0.019, -0.002, -0.576),
            (0.449, 0.336, -0.417, -0.413, 0.274, 0.487, 0.364, -0.226, 0.321),
            (0.01, -0.236, -0.041, -0.191, -0.003, 0.045, 0.016, -0.04, -1.021),
            (0.091, -0.279, -0.015, -0.306, 0.094, 0.128, 0.019, 0.059, -0.95),
            (-0.855, -0.295, -0.724, -0.421, -1.104, 0.645, -0.308, -1.007, -2.208),
        ),
    ),
)
WIDEN = 1.05        # of the half-widths
WIDEN_EARLY = 0.12  # more, at 30 % of the way and before; none from 70 % on

FACTS = (
    # name, unit, source, how well known
    ("MEANS SPREADS NETS", "1",
     "published logs (elk leg, lamb legs, capocollo) and two thirds of tests/data/series, by "
     "quantile regression (10, 50, 90 %) and logistic regression", "derived"),
    ("WIDEN WIDEN_EARLY", "1",
     "set so that 80 % windows hold on thirds left out in turn", "derived"),
)
# fmt: on

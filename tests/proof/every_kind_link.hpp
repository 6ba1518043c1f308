// A link of every kind of part of which every figure that has a range of its kind is stated, so
// that a test can leave one out.
#pragma once

#include <string>

namespace gapwright {

// The whole text but for the promise.
inline std::string every_kind_link() {
    return R"(title = "Everything said"
[surroundings]
temperature = "50 °C"
light = "100 lx"
reserve = "0 %"
[input]
supply = "12 V"
paths = [
  "supply > P1 > R1 > U1 > return", "supply > S1 > R15 > U2 > return",
  "supply > R16 > U3 > return",
]
[output]
supply = "12 V"
paths = [
  "supply > R2 > held", "held > U1 > return", "held > R3 > Q1.base", "Q1.base > R5 > return",
  "supply > R4 > signal", "signal > Q1 > return",
  "supply > R6 > d", "d > D1 > return", "supply > R7 > z", "return > Z1 > z", "z > R20 > return",
  "supply > R8 > M1.gate", "M1.gate > R9 > return", "supply > R10 > drain", "drain > M1 > return",
  "supply > R11 > in", "in > L1 > return", "supply > R12 > s", "s > S2 > return",
  "supply > R13 > t", "t > S3 > return", "supply > R14 > D2 > return",
  "supply > R17 > cell", "cell > U2 > return", "supply > R18 > eye", "eye > U3 > return",
]
[states]
on = { P1 = "high", S1 = "closed", S2 = "closed", S3 = "open" }
off = { P1 = "low", S1 = "open", S2 = "open", S3 = "open" }
[parts]
R1 = { kind = "resistor", value = "470 Ω" }
R2 = { kind = "resistor", value = "1 kΩ" }
R3 = { kind = "resistor", value = "100 kΩ" }
R4 = { kind = "resistor", value = "470 Ω" }
R5 = { kind = "resistor", value = "1 MΩ" }
R6 = { kind = "resistor", value = "330 Ω" }
R7 = { kind = "resistor", value = "330 Ω" }
R8 = { kind = "resistor", value = "380 kΩ" }
R9 = { kind = "resistor", value = "100 kΩ" }
R10 = { kind = "resistor", value = "100 Ω" }
R11 = { kind = "resistor", value = "100 kΩ" }
R12 = { kind = "resistor", value = "10 Ω" }
R13 = { kind = "resistor", value = "10 MΩ" }
R14 = { kind = "resistor", value = "470 Ω" }
R15 = { kind = "resistor", value = "470 Ω" }
R16 = { kind = "resistor", value = "470 Ω" }
R17 = { kind = "resistor", value = "10 kΩ" }
R18 = { kind = "resistor", value = "1 kΩ" }
R20 = { kind = "resistor", value = "10 kΩ" }
[parts.S1]
kind = "contact"
closed_resistance = "50 mΩ"
open_resistance = "1 GΩ"
[parts.S2]
kind = "contact"
closed_resistance = "50 mΩ"
open_resistance = "1 GΩ"
[parts.S3]
kind = "contact"
closed_resistance = "50 mΩ"
open_resistance = "1 GΩ"
[parts.P1]
kind = "logic output"
high = "5 V"
low = "0 V"
resistance = "25 Ω"
[parts.L1]
kind = "logic input"
low_below = "0.8 V"
high_above = "2 V"
leakage = "0 A"
[parts.D1]
kind = "diode"
forward = "0.7 V at 10 mA"
ideality = 1.8
series_resistance = "50 mΩ"
[parts.D2]
kind = "led"
forward = "2 V at 10 mA"
forward_slope = "-2 mV/K at 10 mA"
ideality = 2.0
series_resistance = "2 Ω"
luminous_intensity = "0.3 cd at 20 mA"
temperature_coefficient = "0 /K"
to_80_percent = "50000 h"
[parts.Z1]
kind = "zener"
zener_voltage = "5.1 V"
forward = "0.75 V at 10 mA"
zener_resistance = "10 Ω"
ideality = 1.8
series_resistance = "50 mΩ"
[parts.Q1]
kind = "transistor"
gain = 200.0
collector_resistance = "1 Ω"
[parts.M1]
kind = "mosfet"
threshold = "2 V"
threshold_slope = "-3 mV/K"
transconductance = "0.5 A/V²"
channel_modulation = "0.01 /V"
[parts.U1]
kind = "coupler"
[parts.U1.emitter]
forward = "1.2 V at 5 mA"
forward_slope = "-1.7 mV/K at 5 mA"
ideality = 1.6
series_resistance = "1.5 Ω"
[parts.U1.transfer]
photocurrent_ratio = "0.4 %"
low_knee = "0.6 mA"
high_knee = "0.12 A"
temperature_coefficient = "0 /K"
dark_current = "0.1 nA"
[parts.U1.receiver]
gain = 300.0
collector_resistance = "4 Ω"
[parts.U1.life]
to_80_percent = "50000 h"
[parts.U2]
kind = "pair"
distance = "50 mm"
shroud = "99 %"
[parts.U2.emitter]
kind = "led"
forward = "2 V at 10 mA"
forward_slope = "-2 mV/K at 10 mA"
ideality = 2.0
series_resistance = "2 Ω"
luminous_intensity = "0.3 cd at 20 mA"
temperature_coefficient = "0 /K"
to_80_percent = "50000 h"
[parts.U2.receiver]
kind = "light-dependent resistor"
resistance = "10 kΩ at 10 lx"
gamma = 0.7
dark_resistance = "2 MΩ"
[parts.U3]
kind = "pair"
distance = "20 mm"
shroud = "99 %"
[parts.U3.emitter]
kind = "led"
forward = "1.2 V at 20 mA"
forward_slope = "-2 mV/K at 20 mA"
ideality = 2.0
series_resistance = "2 Ω"
radiant_intensity = "20 mW/sr at 20 mA"
temperature_coefficient = "0 /K"
to_80_percent = "50000 h"
[parts.U3.receiver]
kind = "phototransistor"
sensitivity = "0.1 µA at 1 W/m²"
ambient_sensitivity = "0.1 nA at 1 lx"
gain = 300.0
collector_resistance = "4 Ω"
dark_current = "0.1 nA"
[[promise]]
)";
}

}  // namespace gapwright

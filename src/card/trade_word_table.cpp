#include "card/trade_word_table.hpp"

#include <array>
#include <span>

#include "card/trade_words.hpp"

namespace gapwright {
namespace {

constexpr TradeKind contact = {"contact", ""};
constexpr TradeKind coil = {"coil", ""};
constexpr TradeKind load = {"load", ""};
constexpr TradeKind led = {"led", ""};
constexpr TradeKind diode = {"diode", ""};
constexpr TradeKind resistor = {"resistor", ""};

constexpr auto words = std::to_array<TradeWord>({
    {"switch|button|pushbutton|key|toggle|toggleswitch|microswitch|limitswitch|slideswitch|reed|"
     "reedswitch|reedcontact|drycontact|tactileswitch|relaycontact|keyswitch",
     {contact}},
    {"sensor|proximityswitch|proximitysensor|hallswitch",
     {{{"contact", "a sensor's switching output"}}}},
    {"relay|contactor|reedrelay", {{{"coil", "its winding"}, {"contact", "its contacts"}}}},
    {"relaycoil|winding|solenoid|electromagnet|valve|solenoidvalve|magnet", {coil}},
    {"lamp|bulb|lightbulb|filamentlamp|incandescentlamp|light",
     {{{"load", "a lamp that is switched"}, {"led", "one that lights a receiver"}}}},
    {"motor|fan|pump|heater|buzzer|siren|sounder|horn|bell|appliance|consumer|device", {load}},
    {"lightemittingdiode|irled|infraredled|ired|emitter|iremitter|indicator|indicatorled|"
     "indicatorlamp|pilotlamp|pilotlight|photoemitter|diodeled|leddiode",
     {led}},
    {"ldr|photoresistor|photocell|cds|cdscell|lightdependentresistance|photoconductivecell|"
     "photoconductor",
     {{{"light-dependent resistor", ""}}}},
    {"lightsensor|lightreceiver|receiver|photoreceiver|photodetector",
     {{{"phototransistor", ""}, {"light-dependent resistor", ""}}}},
    {"phototransistornpn|npnphototransistor|irreceiver|infraredreceiver|optotransistor",
     {{{"phototransistor", ""}}}},
    {"photodiode|photovoltaiccell|solarcell",
     {},
     "no kind is a photodiode: a receiver is a phototransistor's or a light-dependent resistor's "
     "card in kind = \"pair\""},
    {"optocoupler|optoisolator|opto|photocoupler|isolator|optoisolater|optocoupling",
     {{{"coupler", ""}}}},
    {"lightbarrier|photointerrupter|slottedcoupler|slottedswitch|optoswitch|interrupter|gap|"
     "lightgate",
     {{{"pair", ""}}}},
    {"cell|accumulator|powersupply|supply|psu|voltagesource|source|dcsupply|mainsadapter|"
     "adapter|power",
     {{{"battery", ""}}}},
    {"npn|bjtnpn|npnbjt|transistornpn|bipolarnpn", {{{"npn transistor", ""}}}},
    {"pnp|bjtpnp|pnpbjt|transistorpnp|bipolarpnp", {{{"pnp transistor", ""}}}},
    {"bjt|bipolar|bipolartransistor|switchingtransistor|transistornpn/pnp",
     {{{"npn transistor", ""}, {"pnp transistor", ""}}}},
    {"darlington|darlingtontransistor",
     {},
     "a darlington is two parts of kind = \"npn transistor\", the emitter of one led to the base "
     "of the other"},
    {"nmos|nmosfet|mosfetn|nfet|nchannel|nchannelfet|nchannelmos|nch|nchmosfet|"
     "mosfetnchannel",
     {{{"n-channel mosfet", ""}}}},
    {"pmos|pmosfet|mosfetp|pfet|pchannel|pchannelfet|pchannelmos|pch|pchmosfet|"
     "mosfetpchannel",
     {{{"p-channel mosfet", ""}}}},
    {"fet|mos|powermosfet|logiclevelmosfet|mosfettransistor|fieldeffecttransistor",
     {{{"n-channel mosfet", ""}, {"p-channel mosfet", ""}}}},
    {"zenerdiode|zdiode|tvs|tvsdiode|referencediode|suppressor", {{{"zener", ""}}}},
    {"schottky|schottkydiode|rectifier|rectifierdiode|signaldiode|switchingdiode|flybackdiode|"
     "freewheelingdiode|freewheeldiode|catchdiode|protectiondiode|silicondiode|germaniumdiode|"
     "reversediode|clampdiode",
     {diode}},
    {"res|resistance|fixedresistor|pullup|pulldown|pullupresistor|pulldownresistor|"
     "seriesresistor|baseresistor",
     {resistor}},
    {"potentiometer|pot|trimmer|trimpot|preset|rheostat|variableresistor",
     {{{"resistor", "with the value that it is set to"}}}},
    {"fuse|polyfuse|wire|cable|lead|shunt", {{{"resistor", "with its resistance"}}}},
    {"thermistor|ntc|ptc", {{{"resistor", "with its value at the temperature"}}}},
    {"cap|condenser|electrolytic|electrolyticcapacitor|ceramiccapacitor|capacitance|elco",
     {{{"capacitor", ""}}}},
    {"choke|ferrite|ferritebead|inductance|coilinductor", {{{"inductor", ""}}}},
    {"gpio|port|portpin|pin|logic|gate|logicgate|microcontroller|mcu|controller|processor|cmos|"
     "ttl|logicpin|digital|inverter|buffer|plc",
     {{{"logic output", "what it drives"}, {"logic input", "what it reads"}}}},
    {"output|digitaloutput|outputpin|plcoutput|driver|pushpull", {{{"logic output", ""}}}},
    {"input|digitalinput|inputpin|plcinput|schmitttrigger", {{{"logic input", ""}}}},
    {"resistiveload|lampload", {load}},
    {"bridge|bridgerectifier|diodebridge", {}, "a bridge is four parts of kind = \"diode\""},
    {"jumper|connector|terminal|testpoint|plug|socket",
     {},
     "what is joined without a part is one node: use one name for it in the paths"},
    {"triac|thyristor|scr|diac|igbt|jfet|opamp|operationalamplifier|comparator|regulator|"
     "transformer|crystal|ic|chip|timer",
     {},
     "no kind stands for it: what switches here is a transistor, a mosfet or a relay's coil"},
});

}  // namespace

std::span<const TradeWord> trade_word_table() {
    return words;
}

}  // namespace gapwright

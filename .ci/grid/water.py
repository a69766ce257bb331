"""Water against python3-iapws: density and sound speed by IAPWS-95, viscosity by R12-08."""
import iapws

from ask import Largest, ask, finish

kelvin = 273.15

# °C and MPa: up to 1 MPa and 100 °C, and above 100 °C under pressure.
cool = [(t / 2, p) for t in range(1, 200, 2) for p in (0.1014, 0.25, 0.5, 0.75, 1.0)]
cool += [(t, p) for t in range(0, 81, 10) for p in (0.05, 0.101325)]
hot = [(t, p) for t in range(100, 181, 2) for p in (1.1, 2.0, 5.0, 10.0)]


def hold(states, suffix, bounds):
    answers = ask("fluid", [{"fluid": "water", "temperature_C": t, "pressure_Pa": p * 1e6} for t, p in states])
    density = Largest("density" + suffix, "kg/m³", bounds[0])
    viscosity = Largest("viscosity" + suffix, "relative", bounds[1], relative=True)
    sound = Largest("sound speed" + suffix, "m/s", bounds[2])
    for (t, p), a in zip(states, answers):
        w = iapws.IAPWS95(T=t + kelvin, P=p)
        where = f"{t:g} °C, {p:g} MPa"
        density.add(a.get("density_kg_m3"), w.rho, where)
        viscosity.add(a.get("dynamic_viscosity_Pa_s"), w.mu, where)
        sound.add(a.get("sound_speed_m_s"), w.w, where)
    return [density, viscosity, sound]


finish("python3-iapws " + iapws.__version__,
       hold(cool, ", water to 100 °C and 1 MPa", (0.02, 0.002, 0.1)) + hold(hot, ", water from 100 °C to 180 °C", (0.02, 0.002, 0.1)))

"""Water: density, viscosity and refractive index from temperature, salinity and depth."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from bandwork.validation import plain, within

_LATITUDE = 40.0
_PASCAL_PER_DBAR = 1e4
_VIOLET, _RED = 400e-9 * (1 - 1e-9), 700e-9 * (1 + 1e-9)  # 700 * 1e-9 rounds to above 700e-9


def _state(temperature: ArrayLike, salinity: ArrayLike) -> tuple[Any, Any]:
    return (np.asarray(within("temperature", temperature, -2, 40, "degrees Celsius")),
            np.asarray(within("salinity", salinity, 0, 42, "g/kg")))


def density(temperature: ArrayLike, salinity: ArrayLike, depth: ArrayLike = 0.0) -> Any:
    """Return the density of water by the international equation of state TEOS-10.

    Parameters
    ----------
    temperature : array_like
        In-situ temperature [degrees Celsius], -2 to 40.
    salinity : array_like
        Absolute salinity [g/kg], 0 (fresh) to 42; the open sea has about 35.
    depth : array_like
        Below the surface [m], 0 to 200.

    Returns
    -------
    float or ndarray
        Density [kg/m3]; the inputs broadcast.

    Raises
    ------
    InputError
        If a value lies outside its range.

    Notes
    -----
    IOC, SCOR and IAPSO 2010, *The international thermodynamic equation of seawater*, Manuals and
    Guides 56; computed by the library gsw (`rho_t_exact`), with the pressure at latitude 40.

    Examples
    --------
    >>> round(density(20, 35), 4)
    1024.6408
    """
    import gsw

    t, salt = _state(temperature, salinity)
    return plain(gsw.rho_t_exact(salt, t, np.divide(gauge_pressure(depth), _PASCAL_PER_DBAR)))


def gauge_pressure(depth: ArrayLike) -> Any:
    """Return the pressure of the sea above that of the air.

    Parameters
    ----------
    depth : array_like
        Below the surface [m], 0 to 200.

    Returns
    -------
    float or ndarray
        Pressure [Pa], of the shape of `depth`.

    Raises
    ------
    InputError
        If a depth lies outside its range.

    Notes
    -----
    TEOS-10's standard ocean at latitude 40, by gsw's `p_from_z`. In fresh water it is 2.7 % less,
    which changes the density by less than 3e-5 of itself down to 200 m.

    Examples
    --------
    >>> round(gauge_pressure(10))
    100774
    """
    import gsw

    deep = np.asarray(within("depth", depth, 0, 200, "m"))
    return plain(gsw.p_from_z(-deep, _LATITUDE) * _PASCAL_PER_DBAR)


def viscosity(temperature: ArrayLike, salinity: ArrayLike) -> Any:
    """Return the dynamic viscosity of water.

    mu = mu_w (1 + A S + B S^2), mu_w = 4.2844e-5 + 1/(0.157 (t + 64.993)^2 - 91.296), with S in
    kg/kg, A = 1.541 + 1.998e-2 t - 9.52e-5 t^2 and B = 7.974 - 7.561e-2 t + 4.724e-4 t^2.

    Parameters
    ----------
    temperature : array_like
        Temperature [degrees Celsius], -2 to 40.
    salinity : array_like
        Salinity [g/kg], 0 to 42.

    Returns
    -------
    float or ndarray
        Viscosity [Pa s], within 1.5 % by its authors; the inputs broadcast.

    Raises
    ------
    InputError
        If a value lies outside its range.

    Notes
    -----
    M.H. Sharqawy, J.H. Lienhard and S.M. Zubair, Desalin. Water Treat. 16 (2010) 354-380, equations
    22 and 23; the coefficients were read in a public program that carries them.

    Examples
    --------
    >>> round(viscosity(20, 35) * 1e3, 3)
    1.077
    """
    t, salt = _state(temperature, salinity)
    fresh = 4.2844e-5 + 1 / (0.157 * (t + 64.993) ** 2 - 91.296)
    a = 1.541 + 1.998e-2 * t - 9.52e-5 * t**2
    b = 7.974 - 7.561e-2 * t + 4.724e-4 * t**2
    share = salt / 1000
    return plain(fresh * (1 + a * share + b * share**2))


def refractive_index(temperature: ArrayLike, salinity: ArrayLike,
                     wavelength: ArrayLike = 550e-9) -> Any:
    """Return the refractive index of water against air.

    Parameters
    ----------
    temperature : array_like
        Temperature [degrees Celsius], -2 to 40.
    salinity : array_like
        Salinity [g/kg], 0 to 42.
    wavelength : array_like
        Of the light in vacuum [m], 400e-9 to 700e-9; 550e-9 is green.

    Returns
    -------
    float or ndarray
        Index [1]; the inputs broadcast.

    Raises
    ------
    InputError
        If a value lies outside its range.

    Notes
    -----
    X. Quan and E.S. Fry, Appl. Opt. 34 (1995) 3477-3480, doi:10.1364/AO.34.003477, a fit in
    temperature, salinity and wavelength; the coefficients were read in public programs.

    Examples
    --------
    >>> round(refractive_index(20, 35, 589.3e-9), 5)
    1.33941
    """
    t, salt = _state(temperature, salinity)
    w = np.asarray(within("wavelength", wavelength, _VIOLET, _RED, "m",
                          "Give it in metres: 550 nm is 550e-9.")) * 1e9
    return plain(1.31405 + (1.779e-4 - 1.05e-6 * t + 1.6e-8 * t**2) * salt - 2.02e-6 * t**2
                 + (15.868 + 0.01155 * salt - 0.00423 * t) / w - 4382 / w**2 + 1.1455e6 / w**3)
